"""Loading CoolProp's compiled core alone.

The package's own `__init__` reads the data of every fluid it knows: 65 MB and most of a second, for
one that needs water only. The core is registered under its own name, so that an import of the whole
package, before or after, shares it: it cannot be loaded twice.
"""

import sys
from functools import cache
from importlib.machinery import PathFinder
from importlib.util import find_spec, module_from_spec
from threading import Lock
from types import ModuleType

NAME = "CoolProp.CoolProp"


_loading = Lock()


def load_core() -> ModuleType:
    """The compiled core of CoolProp.

    Returns: with `AbstractState` and the names of the input pairs.
    Raises ImportError: if CoolProp is not installed.
    """
    with _loading:  # two first questions at once would load it twice, which ends the process
        return _load_core()


@cache
def _load_core() -> ModuleType:
    if NAME in sys.modules:
        return sys.modules[NAME]
    package = find_spec("CoolProp")
    folders = package.submodule_search_locations if package else None
    found = PathFinder.find_spec(NAME, list(folders)) if folders else None
    if found is None or found.loader is None:
        raise ImportError("CoolProp is not installed", name=NAME)
    core = module_from_spec(found)
    sys.modules[NAME] = core
    found.loader.exec_module(core)
    return core
