"""Delete the files that a broken off act has left in the private store."""

from datetime import datetime, timedelta

from surveys.photos.models import FOLDER, Photo, PhotoState
from surveys.photos.storage import private_files

SETTLED_AFTER = timedelta(hours=1)  # a file may be there before its row is committed


def delete_stray_files(*, at: datetime) -> int:
    """Delete settled files that no photo stands for; returns how many."""
    store = private_files()
    standing = {photo.storage_name for photo in Photo.objects.exclude(state=PhotoState.REFUSED)}
    stray = set(_settled_names(at)) - standing
    for name in stray:
        store.delete(name)
    return len(stray)


def _settled_names(at: datetime) -> list[str]:
    store = private_files()
    if not store.exists(FOLDER):
        return []
    names = [
        f"{FOLDER}/{shelf}/{name}"
        for shelf in store.listdir(FOLDER)[0]
        for name in store.listdir(f"{FOLDER}/{shelf}")[1]
    ]
    return [name for name in names if at - store.get_modified_time(name) > SETTLED_AFTER]
