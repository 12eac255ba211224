# What this machine has of what linescope needs, and how to get the rest.

doctor-title = What linescope needs, and what is here:
doctor-name = { $name }
doctor-drawing = drawing without a screen
doctor-viewer = 3-D viewer of pages
doctor-there = there { $version }
doctor-missing = MISSING { $wanted }
doctor-too-old = TOO OLD: { $version }, needs { $wanted }
doctor-all = Nothing is missing: scenes can be briefed, filmed, opened as a page, shared and shown in notebooks.

doctor-get-python-debian = Python: apt-get install python3 python3-venv, then set linescope up again with it.
doctor-get-python-macos = Python: the installer for macOS from the makers of Python, or a package manager; then set linescope up again with it.
doctor-get-python-windows = Python: the installer for Windows from the makers of Python; then set linescope up again with it.
doctor-get-python-other = Python: from your system's packages; then set linescope up again with it.

doctor-get-drawing-debian = Drawing: apt-get install { $packages }
doctor-get-drawing-macos = Drawing: macOS brings OpenGL with it. Run this from a user who is logged in at the screen, not from a remote shell.
doctor-get-drawing-windows = Drawing: install the maker's driver of the graphics card; a remote desktop may offer no OpenGL.
doctor-get-drawing-other = Drawing: from your system's packages, what Debian calls { $packages }

doctor-get-packages = Packages ({ $names }): from the folder of linescope, pip install .
doctor-get-page = The page in the browser ({ $names }): from the folder of linescope, pip install ".[page]"
doctor-get-film = Films ({ $names }): from the folder of linescope, pip install ".[film]"
doctor-get-notebook = Tables of notebooks ({ $names }): from the folder of linescope, pip install ".[notebook]"
doctor-get-viewer = The 3-D viewer of pages, of shared pages and of notebooks: it is built when linescope is installed, for which the npm registry must be reached once. With a connection, from the folder of linescope: pip install --force-reinstall --no-deps . (in a copy of the source that is not installed: python -m linescope.viewer.build)
