"""Photographs as they are shown: small, upright, and rid of where, when and with what they were taken."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path

from heritagemove.units.units import PlannerError

#: Of these a camera makes its files.
_KINDS = ("JPEG", "PNG")
#: A picture of more pixels is none that a camera takes, and fills the memory.
_MOST_PIXELS = 120_000_000
#: How good a picture is kept, tried from the best to the poorest until it is small enough.
_QUALITIES = (82, 70, 55, 40, 25)


@dataclass(frozen=True)
class SmallPicture:
    """A photograph made small: a JPEG that holds its pixels and nothing else."""

    jpeg: bytes
    width: int  # [pixel]
    height: int  # [pixel]


def small_picture(file: Path, widest: int = 640, most_bytes: int = 40_000) -> SmallPicture:
    """Return a photograph small enough to be shown, as its camera was held; place, date and camera are left out.

    Parameters
    ----------
    widest : int
        Longest side [pixel].
    most_bytes : int
        What it may take; the poorest that is tried may take more.

    Raises
    ------
    PlannerError
        If it is not there, or is no photograph.
    """
    # Imported here: a command that shows no photograph begins sooner without.
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(file, formats=_KINDS) as opened:
                if opened.width * opened.height > _MOST_PIXELS:
                    raise PlannerError(f"photo: found {file.name} of {opened.width} x {opened.height} pixels; allowed: "
                                       f"at most {_MOST_PIXELS / 1e6:.0f} million pixels")  # fmt: skip
                opened.draft("RGB", (widest * 2, widest * 2))
                upright = ImageOps.exif_transpose(opened)
                upright.thumbnail((widest, widest))
                # A new picture takes over the pixels and nothing that was written beside them.
                bare = Image.new("RGB", upright.size, "white")
                shown = upright.convert("RGBA")
                bare.paste(shown, mask=shown)
    except FileNotFoundError as error:
        raise PlannerError(f"photo: found no file {file.name}; allowed: a file in the museum's folder") from error
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError) as error:
        if isinstance(error, PlannerError):
            raise
        raise PlannerError(f"photo: found {file.name}, which is no JPEG or PNG that can be read") from error
    for quality in _QUALITIES:
        out = io.BytesIO()
        bare.save(out, "JPEG", quality=quality, optimize=True)
        if out.tell() <= most_bytes:
            break
    return SmallPicture(out.getvalue(), *bare.size)
