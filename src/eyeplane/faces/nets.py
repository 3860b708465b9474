"""The nets: weights shipped in `weights/`, checked before use, run on one thread."""

import contextlib
import functools
import hashlib
import os
import threading
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from eyeplane.errors import EyeplaneError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from importlib.resources.abc import Traversable

    from numpy.typing import NDArray

DETECTOR = "face_detection_full_range_sparse.tflite"  # 192 px in; boxes and 6 points of faces
MESH = "face_landmark.tflite"  # 192 px in; 468 points and the logit of a face being there
IRIS = "iris_landmark.tflite"  # 64 px in; 71 points of lids and brow, 5 of the iris


def weights_folder() -> "Traversable":
    """Return the folder of shipped weights, their licence text and their checksums.

    Returns
    -------
    Traversable
        Inside the installed package.
    """
    return files("eyeplane.faces") / "weights"


def checksums(folder: "Traversable") -> dict[str, str]:
    """Return the SHA-256 each weights file must have, from `SHA256SUMS` in the folder.

    Parameters
    ----------
    folder : Traversable
        Where the list lies.

    Returns
    -------
    dict
        File name to lower-case hexadecimal digest.
    """
    lines = (folder / "SHA256SUMS").read_text(encoding="ascii").splitlines()
    pairs = (line.split() for line in lines if line.strip())
    return {name: digest for digest, name in pairs}


def read_weights(name: str, folder: "Traversable") -> bytes:
    """Return the bytes of a weights file once its checksum has been held against the list.

    Parameters
    ----------
    name : str
        File name in the folder.
    folder : Traversable
        Folder of weights with its `SHA256SUMS`.

    Returns
    -------
    bytes
        The net as it was shipped.

    Raises
    ------
    EyeplaneError
        If the file is missing, not on the list, or not what the list says.
    """
    hint = "Install eyeplane again: its own files were damaged or changed"
    expected = checksums(folder).get(name)
    if expected is None:
        raise EyeplaneError(f"no checksum is known for {name}", where=str(folder), hint=hint)
    try:
        content = (folder / name).read_bytes()
    except OSError as error:
        raise EyeplaneError(f"{name} cannot be read", where=str(folder), hint=hint) from error
    if hashlib.sha256(content).hexdigest() != expected:
        raise EyeplaneError(
            f"{name} is not the file that was shipped", where=str(folder), hint=hint
        )
    return content


class Net:
    """One net with a single picture as input.

    Parameters
    ----------
    content : bytes
        The net in LiteRT's flat file format.
    """

    def __init__(self, content: bytes) -> None:
        from ai_edge_litert.interpreter import Interpreter  # noqa: PLC0415  slow to import

        with _quiet():
            self._interpreter: Any = Interpreter(model_content=content, num_threads=1)
            self._interpreter.allocate_tensors()
        self._input: int = self._interpreter.get_input_details()[0]["index"]
        self._outputs: list[int] = [d["index"] for d in self._interpreter.get_output_details()]
        self._lock = threading.Lock()  # an interpreter holds the tensors of one run

    def run(self, picture: "NDArray[np.float32]") -> list["NDArray[np.float32]"]:
        """Return the net's outputs for one picture.

        Parameters
        ----------
        picture : ndarray of float32, shape (size, size, 3)
            RGB in the range the net was made for.

        Returns
        -------
        list of ndarray
            Copies of the output tensors, flattened, in the net's own order.
        """
        with self._lock:
            self._interpreter.set_tensor(self._input, np.ascontiguousarray(picture[None]))
            self._interpreter.invoke()
            return [np.ravel(self._interpreter.get_tensor(i)).copy() for i in self._outputs]


@contextlib.contextmanager
def _quiet() -> "Iterator[None]":
    """Keep the library's notice of what it was built with off the person's screen.

    It is written to file descriptor 2 from C++, and the library has no switch for it; its errors
    come as exceptions.
    """
    try:
        kept = os.dup(2)
    except OSError:  # no standard error at all
        yield
        return
    try:
        with Path(os.devnull).open("wb") as nothing:
            os.dup2(nothing.fileno(), 2)
            yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)


def net(name: str) -> Net:
    """Return the net of that name, made when first asked for in this process.

    Parameters
    ----------
    name : str
        `DETECTOR`, `MESH` or `IRIS`.

    Returns
    -------
    Net
        Ready to run; the same object within one process.
    """
    return _net_of_process(name, os.getpid())


@functools.cache
def _net_of_process(name: str, _process: int) -> Net:
    # The process id is part of the key because a forked child must not use its parent's lock.
    return Net(read_weights(name, weights_folder()))
