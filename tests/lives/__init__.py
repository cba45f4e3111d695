"""Invented runners live through their plans: what is a plan worth to imperfect people?

    python -m tests.lives figures       what became of each kind of runner
    python -m tests.lives sweeps        shares of runs done, one missed run, 960 event plans
    python -m tests.lives promises      which promises hold, each with its figure

The runners and what hurts them (`tissue`) are made up. Nothing here says anything about injuries.
"""
