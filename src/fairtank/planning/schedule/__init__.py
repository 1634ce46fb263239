"""The schedule of a trial: what is to be done on which day, what was done, and what becomes of the rest after a slip.

rules      words such as "every 3 days" as a recurrence rule (RFC 5545) and back; rule_parts checks such a rule
dates      the days on which a rule falls
plan_days  the plan's own days: the change starts, the arms change places, a planned look
tasks      everything that is to be done, each on its day, re-planned after slips: `planned_tasks`
doing      which tasks were done, by the rows of chores.csv, by photos and by readings
days       what is to be done today, what is overdue, what comes next, and the minutes of each day
proposing  a first schedule made from the plan and from setup.toml
"""
