import re
import subprocess
import sys
from pathlib import Path

import fleet.planning.visits

ROOM = Path(fleet.planning.visits.__file__).parent
LOADED = (
    "import sys; from fleet.planning.visits import solving; print(*(sys.modules.keys() & {'pyvrp', 'numpy'}))"
)


def test_the_solver_is_loaded_only_when_a_plan_is_wanted():
    found = subprocess.run(
        [sys.executable, "-c", LOADED], capture_output=True, text=True, check=True, timeout=60
    )
    assert found.stdout.split() == []


def test_only_the_search_knows_the_solver():
    knows = [path.name for path in ROOM.glob("*.py") if re.search(r"import (pyvrp|numpy)", path.read_text())]
    assert knows == ["searching.py"]


def test_the_checker_shares_no_code_with_the_solvers():
    text = (ROOM / "checking.py").read_text()
    own = set(re.findall(r"from fleet\.planning\.visits\.(\w+) import", text))
    assert own == {"daylight", "plan", "request"}


def test_the_solver_writes_nothing_to_standard_output():
    code = (
        "from tests.fleet.planning.visits.worlds import budget, random_request\n"
        "from fleet.planning.visits.solving import make_plan\n"
        "make_plan(random_request(4, days=2, people=3, visits=12), budget(20))"
    )
    found = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert (found.stdout, found.stderr) == ("", "")
