"""Whatever is typed, and whatever the file holds: 0, 1 or 2, and never a traceback.

Ten thousand in all, drawn from fixed seeds: 8,000 command lines and 2,000 car files,
each begun from one that works and then spoiled.
"""

import json
import random

import pytest

from cars import demo_text
from commands import at, run
from damage import spoiled

QUICK = 150

COMMANDS = [
    ["check", "demo:van"],
    ["plan", "demo:tourer", "left", "--height", "14 3/4 in"],
    ["plan", "demo:van", "left", "--published", "setting length"],
    ["plan", "demo:van", "left", "--match", "right", "--json"],
    ["gauge", "demo:van", "left", "--span", "446.2 mm", "--land", "421.9 mm"],
    [
        *["gauge", "demo:tourer", "left", "--fit", "wide", "--hole", "17/32 in"],
        *["--hole", "17/32 in", "--span", "19 1/8 in", "--tolerance", "1/4 in"],
    ],
    ["teeth", "demo:tourer", "right", "--most", "3"],
    ["teeth", "24", "25", "--turn", "7.3 deg ± 0.2"],
    [
        *["teeth", "27", "28", "--gap", "3/8 in", "--radius", "7 1/4 in"],
        *["--arm", "too-low", "--side", "left", "--json"],
    ],
    ["travel", "demo:van", "left", "--rows", "5"],
    ["travel", "demo:tourer", "--csv"],
    ["explain", "slack", "angle"],
    ["explain", "--json"],
    ["schema", "teeth"],
    ["demo", "van"],
    ["demo", "--list"],
    ["new", "x.toml", "--layout", "planar arm", "--name", "x", "--units", "inch"],
]
# Cheap to run: drawn far more often, so that ten thousand end within a minute.
SMALL = [c for c in COMMANDS if not any(w.startswith("demo") for w in c)]
TOKENS = [
    *["", "-", "--", "--help", "--json", "--csv", "--version", "-h", "left", "right"],
    *["front-left", "demo:", "demo:van", "demo:../van", "demo:tourer", ".", "\x00"],
    *["0", "1", "-1", "24", "25", "1000", "1001", "9" * 400, "²", "१२", "1e3", "nan"],
    *["inf mm", "1e999 mm", "1e-320 mm", "0 mm", "-3 mm", "15 5/7 in", "15 5/0 in"],
    *["± 3 mm", "3 mm ±", "3 mm ± -1", "3 mm ± 1e9", "3 deg", "180 deg", "-180 deg"],
    *["179.9999999 deg", "1e-12 deg", "--turn", "--gap", "--radius", "--arm", "--side"],
    *["too-high", "--most", "20", "--height", "--match", "--published", "--dimension"],
    *["--fit", "--span", "--land", "--hole", "--tolerance", "--rows", "2001", "💥"],
    *["\u202e\u0301", "x" * 3000, "15⅝ in", '15-5/8"', "4° 30'", "ride height", "\n"],
    *[
        "%s",
        "{}",
        "$(id)",
        "setting length",
        "check dimension",
        "NaN",
        "None",
        "\udcff",
    ],
]
LETTERS = "0123456789.,-+±°'\"% abeimnt\x00\t⅝²"


def spoiled_word(rng, word):
    place = rng.randrange(len(word) + 1)
    kind = rng.randrange(3)
    if kind == 0:
        return word[:place] + word[place + 1 :]
    if kind == 1:
        return word[:place] + rng.choice(LETTERS) + word[place:]
    return word[:place] + rng.choice(LETTERS) + word[place + 1 :]


def spoiled_command(rng):
    words = list(rng.choice(COMMANDS if rng.random() < 0.1 else SMALL))
    for _ in range(rng.randrange(1, 5)):
        place = rng.randrange(len(words) + 1)
        kind = rng.randrange(5)
        if kind == 0 and len(words) > 1:
            words.pop(min(place, len(words) - 1))
        elif kind == 1:
            words.insert(place, rng.choice(TOKENS))
        elif kind == 2 and words:
            words[min(place, len(words) - 1)] = rng.choice(TOKENS)
        elif kind == 3 and words:
            words.insert(place, rng.choice(words))
        elif words:
            at = min(place, len(words) - 1)
            words[at] = spoiled_word(rng, words[at])
    # No argument of a process can hold a NUL; a path from the root could be written.
    words = [w.replace("\x00", "\x01") for w in words]
    return [w for w in words if not w.startswith(("/", "--write"))]


def hold(done, words):
    """Hold a run to what is promised of every one."""
    told = f"{words!r}\n{done.out[-500:]}\n{done.err}"
    assert done.code in (0, 1, 2), told
    assert "Traceback" not in done.out + done.err, told
    assert "went wrong" not in done.err, told
    if done.code == 2:
        assert done.err.strip(), told
    else:
        assert done.out.strip(), told
        assert "nan" not in done.out.lower().split(), told
        if "--json" in words and done.out[:1] in "[{":
            json.loads(done.out)


def fuzz_commands(seeds, place):
    codes = {0: 0, 1: 0, 2: 0}
    with at(place):
        for seed in seeds:
            words = spoiled_command(random.Random(seed))
            done = run(*words)
            hold(done, words)
            codes[done.code] += 1
            (place / "x.toml").unlink(missing_ok=True)
    return codes


def fuzz_files(seeds, place):
    codes = {0: 0, 1: 0, 2: 0}
    file = place / "car.toml"
    for seed in seeds:
        rng = random.Random(seed)
        text = spoiled(demo_text(rng.choice(["tourer", "van"])), rng)
        file.write_text(text, "utf-8", errors="surrogatepass")
        words = [rng.choice(["check", "plan", "gauge", "teeth", "travel"]), str(file)]
        words += rng.choice([[], ["left"], ["right", "--json"]])
        done = run(*words)
        hold(done, [*words, f"seed {seed}"])
        codes[done.code] += 1
    return codes


def test_spoiled_command_lines(tmp_path):
    fuzz_commands(range(QUICK), tmp_path)


def test_spoiled_car_files(tmp_path):
    fuzz_files(range(QUICK // 3), tmp_path)


@pytest.mark.slow
def test_eight_thousand_spoiled_command_lines(tmp_path):
    codes = fuzz_commands(range(QUICK, 8000), tmp_path)

    # Neither all refused nor all let through, or the drawing would show little.
    assert codes[2] > 2000
    assert codes[0] > 300


@pytest.mark.slow
def test_two_thousand_spoiled_car_files(tmp_path):
    codes = fuzz_files(range(QUICK // 3, 2000), tmp_path)

    assert codes[2] > 500
    assert codes[0] + codes[1] > 200
