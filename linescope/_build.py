"""Used while the wheel is built: shipped scenes, which lie outside the package, and the bundled viewer go into it."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from setuptools.command.build_py import build_py


class BuildPy(build_py):  # type: ignore[misc, unused-ignore]
    """Copies `scenes` into the package, and builds the viewer into it."""

    def run(self) -> None:
        """Build, then add scenes and viewer; an editable install reads them where they lie.

        Where the viewer cannot be built, the rest of the package works without it, and its pages say so.
        """
        super().run()
        if not self.editable_mode:
            package = Path(self.build_lib) / "linescope"
            target = package / "scenefile" / "data" / "shipped"
            target.mkdir(parents=True, exist_ok=True)
            for scene in sorted(Path("scenes").glob("*.toml")):
                shutil.copyfile(scene, target / scene.name)
            shutil.copytree("scenes/lessons", target / "lessons", dirs_exist_ok=True)
            sys.path.insert(0, str(Path.cwd()))  # setuptools reads this file alone; the package is not installed yet.
            try:
                from linescope.viewer.build import NotBuiltError, build

                try:
                    build(package / "viewer" / "data")
                except NotBuiltError as error:
                    said = "pages will have no 3-D picture, and pictures the usual letters"
                    sys.stderr.write(f"The viewer was not built; {said}. {error}\n")
            finally:
                sys.path.pop(0)
