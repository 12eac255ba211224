"""Speed against peers, in the same run.  `python -m tests.benchmarks` prints a table; tests are never timed."""
