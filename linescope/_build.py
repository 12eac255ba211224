"""Used while the wheel is built: the shipped scenes, which lie outside the package, go into it."""

from __future__ import annotations

import shutil
from pathlib import Path

from setuptools.command.build_py import build_py


class BuildPy(build_py):  # type: ignore[misc, unused-ignore]
    """Copies `scenes` into the package."""

    def run(self) -> None:
        """Build, then add the scenes; an editable install reads them where they lie."""
        super().run()
        if not self.editable_mode:
            target = Path(self.build_lib) / "linescope" / "scenefile" / "data" / "shipped"
            target.mkdir(parents=True, exist_ok=True)
            for scene in sorted(Path("scenes").glob("*.toml")):
                shutil.copyfile(scene, target / scene.name)
            shutil.copytree("scenes/lessons", target / "lessons", dirs_exist_ok=True)
