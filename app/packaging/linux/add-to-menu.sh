#!/bin/sh
# Puts Strokeside, where it lies now, into this user's menu of applications. Remove it there with
#   rm ~/.local/share/applications/strokeside.desktop
set -eu
here=$(cd "$(dirname "$0")" && pwd)
menu="${XDG_DATA_HOME:-$HOME/.local/share}/applications"
mkdir -p "$menu"
sed -e "s|^Exec=.*|Exec=\"$here/strokeside\" %F|" -e "s|^Icon=.*|Icon=$here/strokeside.svg|" \
    "$here/strokeside.desktop" > "$menu/strokeside.desktop"
echo "Strokeside is in the menu now. If you move this folder, run this again."
