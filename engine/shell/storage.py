"""Where collected logs go: a folder, or any storage for which the library fsspec has a driver.

For: putting a whole file under a name that is not taken, and reading one back.
Must never: overwrite, rename or delete anything there.
"""

import re
from pathlib import Path
from typing import Any, Protocol

from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.logfile import StoreError, read_whole, told
from ferrule.engine.shell.setaside import write_all

_ADDRESS = re.compile(r"[a-z][a-z0-9+.-]+(://|::)")
"""The start of an address as fsspec reads it; a Windows drive has one letter only."""
ADVICE = "Check the place and the way to it, then collect again: what is there already is not copied twice."


class Storage(Protocol):
    """A place for whole files."""

    def get(self, name: str) -> bytes | None:
        """The file's bytes; None where there is no such file."""

    def put(self, name: str, data: bytes) -> None:
        """Create the file with these bytes; StoreError when the name is taken or the place refuses."""


def storage_at(where: str, calls: FileCalls = SYSTEM_CALLS) -> Storage:
    """The storage that a folder's name or an address stands for."""
    return RemoteStorage(where) if _ADDRESS.match(where) else FolderStorage(Path(where).expanduser(), calls)


class FolderStorage:
    """A folder that can be reached as one, on this machine or mounted."""

    def __init__(self, folder: Path, calls: FileCalls = SYSTEM_CALLS) -> None:
        self._folder = folder
        self._calls = calls

    def get(self, name: str) -> bytes | None:
        """Read the file anew from the system."""
        calls, path = self._calls, self._folder / name
        with told(f"{name} cannot be read in {self._folder}", ADVICE):
            try:
                handle = calls.open_read(path)
            except FileNotFoundError:
                return None
            try:
                return read_whole(calls, handle, path)
            finally:
                calls.close(handle)

    def put(self, name: str, data: bytes) -> None:
        """Create the file; it is durable when this returns."""
        calls = self._calls
        with told(f"{name} cannot be copied to {self._folder}", ADVICE):
            calls.make_folder(self._folder)
            handle = calls.create(self._folder / name)
            try:
                write_all(calls, handle, data)
                calls.fsync(handle)
            finally:
                calls.close(handle)
            calls.fsync_dir(self._folder)


class RemoteStorage:
    """A storage behind an address such as `sftp://office/records`."""

    def __init__(self, address: str) -> None:
        try:
            import fsspec
        except ImportError as error:
            raise StoreError(
                f"To copy to {address} the extra for storages is needed: pip install 'ferrule[collect]'. "
                "A folder needs no extra."
            ) from error
        self._address = address
        self._errors = (OSError, ValueError, ImportError, NotImplementedError)
        try:
            found: tuple[Any, str] = fsspec.core.url_to_fs(address)
        except self._errors as error:
            raise StoreError(f"The storage {address} cannot be reached: {error}. {ADVICE}") from error
        self._files, self._root = found

    def get(self, name: str) -> bytes | None:
        """Read the file past what the driver may have kept of it."""
        try:
            self._files.invalidate_cache()
            data: bytes = self._files.cat_file(f"{self._root}/{name}")
        except FileNotFoundError:
            return None
        except self._errors as error:
            raise StoreError(f"{name} cannot be read at {self._address}: {error}. {ADVICE}") from error
        return data

    def put(self, name: str, data: bytes) -> None:
        """Create the file where the driver can create without overwriting; else look first that it is not there."""
        path = f"{self._root}/{name}"
        try:
            self._files.makedirs(self._root, exist_ok=True)
            try:
                self._files.pipe_file(path, data, mode="create")
            except (ValueError, NotImplementedError, TypeError):
                if self._files.exists(path):
                    raise FileExistsError(path) from None
                self._files.pipe_file(path, data)
        except FileExistsError as error:
            raise StoreError(f"{name} is there already at {self._address}, and nothing is overwritten.") from error
        except self._errors as error:
            raise StoreError(f"{name} cannot be copied to {self._address}: {error}. {ADVICE}") from error
