"""Frames to a film (MP4) and to a GIF, in memory: a film that is broken off leaves nothing behind.

The film is H.264 where the library at hand can write it, else MPEG-4 part 2; its dots are yuv420p,
which every player shows.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from pegwright.lesson.raster import needs

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["codec_at_hand", "gif", "mp4"]

_BT709 = 1  # ITU-T H.273: colours as in high-definition television …
_LIMITED = 1  # … and brightness from 16 to 235, as the library counts the ranges

Frames = Iterator["NDArray[np.uint8]"]
Told = Callable[[int], None]


def _av() -> Any:
    try:
        import av
    except ImportError:
        raise needs("av") from None
    av.logging.set_level(av.logging.ERROR)
    return av


def codec_at_hand() -> str:
    """The name of the best encoder that the library has."""
    av = _av()
    for name in ("libx264", "libopenh264", "mpeg4"):
        try:
            av.codec.Codec(name, "w")
        except ValueError:  # the library's error for an unknown name is one as well
            continue
        return name
    raise needs("av, with an encoder for films")


def mp4(frames: Frames, *, width: int, height: int, fps: int, told: Told | None = None) -> bytes:
    """The frames as an MP4; width and height are even."""
    av = _av()
    out = io.BytesIO()
    name = codec_at_hand()
    with av.open(out, "w", format="mp4") as box:
        stream = box.add_stream(name, rate=fps)
        stream.width, stream.height, stream.pix_fmt = width, height, "yuv420p"
        stream.time_base = Fraction(1, fps)
        context = stream.codec_context
        context.color_primaries = context.color_trc = context.colorspace = _BT709
        context.color_range = _LIMITED
        if name == "libx264":
            stream.options = {"preset": "veryfast", "crf": "20", "threads": "1"}
        else:
            stream.bit_rate = 4_000_000
        context.flags |= av.codec.context.Flags.bitexact.value
        box.flags = av.container.Flags.bitexact.value | box.flags
        for i, dots in enumerate(frames):
            frame = av.VideoFrame.from_ndarray(dots, format="rgb24").reformat(
                format="yuv420p", dst_colorspace="ITU709"
            )
            frame.pts, frame.time_base = i, Fraction(1, fps)
            for packet in stream.encode(frame):
                packet.duration = packet.duration or 1
                box.mux(packet)
            if told is not None:
                told(i + 1)
        for packet in stream.encode():
            packet.duration = packet.duration or 1
            box.mux(packet)
    return out.getvalue()


def gif(frames: Frames, *, width: int, height: int, fps: int, told: Told | None = None) -> bytes:
    """The frames as a GIF that goes round and round.

    ``fps`` divides 100, as a GIF counts in hundredths of a second.
    """
    av = _av()
    graph = av.filter.Graph()
    source = graph.add_buffer(
        width=width, height=height, format="rgb24", time_base=Fraction(1, fps)
    )
    split = graph.add("split")
    palette = graph.add("palettegen", "max_colors=64:stats_mode=full:reserve_transparent=0")
    use = graph.add("paletteuse", "dither=none:diff_mode=rectangle")
    sink = graph.add("buffersink")
    source.link_to(split)
    split.link_to(palette, 0, 0)
    split.link_to(use, 1, 0)
    palette.link_to(use, 0, 1)
    use.link_to(sink)
    graph.configure()
    for i, dots in enumerate(frames):
        frame = av.VideoFrame.from_ndarray(dots, format="rgb24")
        frame.pts, frame.time_base = i, Fraction(1, fps)
        source.push(frame)
        if told is not None:
            told(i + 1)
    source.push(None)
    return _written(av, graph, width, height, fps)


def _written(av: Any, graph: Any, width: int, height: int, fps: int) -> bytes:
    """What comes out of the graph, as a GIF."""
    out = io.BytesIO()
    delay = 100 // fps
    options = {"loop": "0", "final_delay": str(delay)}
    with av.open(out, "w", format="gif", container_options=options) as box:
        stream = box.add_stream("gif", rate=fps)
        stream.width, stream.height, stream.pix_fmt = width, height, "pal8"
        stream.time_base = Fraction(1, fps)
        while True:
            try:
                frame = graph.pull()
            except (av.error.BlockingIOError, av.error.EOFError):
                break
            for packet in stream.encode(frame):
                packet.duration = 1
                box.mux(packet)
        for packet in stream.encode():
            packet.duration = 1
            box.mux(packet)
    return out.getvalue()
