"""Running commands inside a test."""

import contextlib
import io
import json
from typing import Any

from app.commands.program import INTERRUPTED, main


def run(*args: object) -> tuple[int, str, str]:
    """Status, standard output and standard error of a command."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main([str(arg) for arg in args])
    return status, out.getvalue(), err.getvalue()


def _run_to_its_end(*args: object) -> tuple[int, str, str]:
    """Run a command of which nobody expects to be stopped.

    A command takes the signal that ends the tests (a time limit, a shutdown) for one to itself; the
    tests then went on and called the stop a failed command.
    """
    status, out, err = run(*args)
    if status == INTERRUPTED:
        raise KeyboardInterrupt(f"stopped while '{' '.join(map(str, args))}' ran")
    return status, out, err


def answer(*args: object) -> Any:
    status, out, err = _run_to_its_end(*args, "--json")
    assert (status, err) == (0, "")

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(out, parse_constant=refuse)


def refused(*args: object) -> str:
    """The one sentence of a command that cannot use its input, the same with and without JSON."""
    status, out, err = _run_to_its_end(*args)
    assert (status, out) == (1, "")
    json_status, json_out, json_err = _run_to_its_end(*args, "--json")
    assert (json_status, json_err) == (1, err)
    assert json.loads(json_out) == {"error": err.rstrip("\n")}
    assert err.count("\n") == 1 and err.endswith(".\n") and "Traceback" not in err
    return err
