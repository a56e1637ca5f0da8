"""The one place that turns on 64-bit floats and the compilation cache of JAX."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp

Array = Any  # a JAX array or tracer; shapes are (..., tanks, members)

jax.config.update("jax_enable_x64", True)


def cache_folder() -> Path:
    """Folder of compiled programs; ``WATERVANE_CACHE`` overrides it."""
    told = os.environ.get("WATERVANE_CACHE")
    if told:
        return Path(told)
    base = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(base) / "watervane"


def use_compilation_cache() -> None:
    """Keep compiled programs between runs where the folder can be written."""
    folder = cache_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return
    jax.config.update("jax_compilation_cache_dir", str(folder))
    jax.config.update("jax_persistent_cache_min_compile_time_secs", 0.0)
    jax.config.update("jax_persistent_cache_min_entry_size_bytes", -1)


__all__ = ["Array", "cache_folder", "jax", "jnp", "use_compilation_cache"]
