"""What runs without a window looks for things where the window puts them."""

from app.files import user_folders
from app.window.features.sending import sending_prepare


def test_caches_lie_where_qt_has_them() -> None:
    assert user_folders.cache_folder() == sending_prepare.cache_folder()
