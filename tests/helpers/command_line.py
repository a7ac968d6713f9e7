"""Running commands inside a test."""

import contextlib
import io
import json
from typing import Any

from app.commands.program import main


def run(*args: object) -> tuple[int, str, str]:
    """Status, standard output and standard error of a command."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main([str(arg) for arg in args])
    return status, out.getvalue(), err.getvalue()


def answer(*args: object) -> Any:
    status, out, err = run(*args, "--json")
    assert (status, err) == (0, "")

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(out, parse_constant=refuse)


def refused(*args: object) -> str:
    """The one sentence of a command that cannot use its input, the same with and without JSON."""
    status, out, err = run(*args)
    assert (status, out) == (1, "")
    json_status, json_out, json_err = run(*args, "--json")
    assert (json_status, json_err) == (1, err)
    assert json.loads(json_out) == {"error": err.rstrip("\n")}
    assert err.count("\n") == 1 and err.endswith(".\n") and "Traceback" not in err
    return err
