"""The verbs of the job: plain inputs in, frozen result objects out."""
