"""Opens a database as a user without special rights and prints the problem: open_unprivileged.py SCRATCH TARGET."""

import os
import sys

from bot.store.database import DatabaseProblem, open_database

NOBODY = 65534

open_database(sys.argv[1]).close()  # brings in everything that is imported late, while the user may still read it
if os.geteuid() == 0:
    os.setgroups([])
    os.setgid(NOBODY)
    os.setuid(NOBODY)
try:
    open_database(sys.argv[2]).close()
except DatabaseProblem as problem:
    print(problem.kind, problem.code, problem, sep="|")
