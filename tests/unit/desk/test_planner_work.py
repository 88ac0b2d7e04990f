"""What the planning process answers when its work is stopped, or cannot be done."""

from types import SimpleNamespace
from typing import Any

import pytest

from hushwalk.desk.planner_work import StopNow, _answered
from hushwalk.errors import NoPlanError


@pytest.mark.parametrize(
    ("fault", "stopped", "kind"),
    [
        (NoPlanError("no walk keeps the limits"), False, "fault"),
        (NoPlanError("half a search found nothing"), True, "stopped"),
        (StopNow(), True, "stopped"),
        (SystemError("a compiled loop met the interrupt"), True, "stopped"),
    ],
)
def test_what_goes_wrong_because_the_work_was_stopped_is_no_fault(
    fault: BaseException, stopped: bool, kind: str
) -> None:
    def plan(*_: Any) -> None:
        raise fault

    assert _answered(SimpleNamespace(stopped=stopped, plan=plan), "plan", ())[0] == kind  # type: ignore[arg-type]


def test_any_other_fault_is_not_hidden() -> None:
    def plan(*_: Any) -> None:
        raise SystemError("a fault of ours")

    with pytest.raises(SystemError):
        _answered(SimpleNamespace(stopped=False, plan=plan), "plan", ())  # type: ignore[arg-type]
