"""Photos without what cameras write into them: only the pixels are kept, encoded anew."""

from __future__ import annotations

import hashlib
import io
import warnings
from pathlib import Path

from watervane.journal.troubles import JournalTrouble
from watervane.records import Photo

MOST_MB = 50
MOST_PIXELS = 100_000_000
LONGEST_SIDE_PX = 2048
QUALITY = 85
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP", "AVIF")


def photo_from(file: Path) -> Photo:
    """A photo as it may be kept: no place, no camera, no name, no hidden smaller picture.

    Parameters
    ----------
    file
        A picture; it is never written.

    Raises
    ------
    JournalTrouble
        ``photo-missing``, ``photo-too-big`` or ``photo-unreadable``.
    """
    try:
        size = file.stat().st_size
        if size > MOST_MB * 1_000_000:
            raise JournalTrouble("photo-too-big", file=str(file), most_mb=MOST_MB)
        raw = file.read_bytes()
    except OSError:
        raise JournalTrouble("photo-missing", file=str(file)) from None
    return cleaned(raw, str(file))


def cleaned(raw: bytes, name: str = "") -> Photo:
    """The pixels of a picture as a new JPEG, upright, its longer side 2048 px at most.

    Parameters
    ----------
    raw
        The bytes of a picture file.
    name
        Said in messages.

    Raises
    ------
    JournalTrouble
        ``photo-too-big`` or ``photo-unreadable``.
    """
    from PIL import Image, ImageOps  # noqa: PLC0415 - seldom needed

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(raw), formats=FORMATS) as opened:
                small_enough = opened.width * opened.height <= MOST_PIXELS
                upright = ImageOps.exif_transpose(opened).convert("RGB") if small_enough else None
    except Image.DecompressionBombError:
        upright = None
    except Exception as error:
        # Decoders of strangers' files raise what they like.
        raise JournalTrouble("photo-unreadable", file=name, formats=FORMATS) from error
    if upright is None:
        raise JournalTrouble("photo-too-big", file=name, most_mb=MOST_MB)
    upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    # Into a new picture: the old one carries along what stood beside its pixels.
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    kept = io.BytesIO()
    bare.save(kept, "JPEG", quality=QUALITY)
    data = kept.getvalue()
    digest = hashlib.sha256(data).hexdigest()
    return Photo("image/jpeg", bare.width, bare.height, digest, data)
