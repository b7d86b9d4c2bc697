"""All that the program loads in the course of a day, for the process that programs are forked from."""

import importlib
import os
import pkgutil

import pourday

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # A fork copies no threads.
for module in pkgutil.walk_packages(pourday.__path__, "pourday."):
    if not module.name.endswith("__main__"):
        importlib.import_module(module.name)
