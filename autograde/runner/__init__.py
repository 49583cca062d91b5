"""Running learners' code: what goes in, what comes out, and the walls between.

`job` holds the data that pass, `sandbox` the walls, `worker` one warm process,
`pool` several, `cluster` those of other machines. What lies in `inside/` runs in the
sandbox and imports nothing of autograde; it is the only part a learner's code can reach.
"""
