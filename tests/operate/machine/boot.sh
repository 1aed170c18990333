#!/bin/sh
# Boots a Debian root of its own under a real systemd, in namespaces, and walks through the service there: see walk.py.
#   sudo sh tests/operate/machine/boot.sh FOLDER        the root is made in FOLDER/root the first time (needs debootstrap and a network)
# Nothing outside the namespaces is changed. Not part of the suite: it needs root, takes about ten minutes, and fetches a system.
set -eu
checkout=$(CDPATH='' cd -- "$(dirname -- "$0")/../../.." && pwd)
folder=$(mkdir -p "$1" && CDPATH='' cd -- "$1" && pwd)
root=$folder/root

make_root() {
    debootstrap --variant=minbase --include=systemd,systemd-sysv,dbus,python3,python3-venv,ca-certificates,git trixie "$root.part"
    cp -L /etc/resolv.conf "$root.part/etc/resolv.conf"
    cp -L /etc/ssl/certs/ca-certificates.crt "$root.part/etc/ssl/certs/ca-certificates.crt"
    mv "$root.part" "$root"
}

inside() {  # runs in the new namespaces: mounts what a machine has, makes the root the only one, and becomes its first process
    mount --make-rprivate /
    mount --bind "$root" "$root"
    mount -t proc proc "$root/proc"
    mount -t sysfs -o ro sysfs "$root/sys"
    mount -t cgroup2 cgroup2 "$root/sys/fs/cgroup"
    mount -t tmpfs -o mode=755 tmpfs "$root/run"
    mount -t tmpfs -o mode=755 tmpfs "$root/dev"
    for device in null zero full random urandom tty; do
        touch "$root/dev/$device"
        mount --bind "/dev/$device" "$root/dev/$device"
    done
    mkdir "$root/dev/pts" "$root/dev/shm"
    mount -t devpts -o newinstance,ptmxmode=0666,mode=620 devpts "$root/dev/pts"
    mount -t tmpfs -o mode=1777 tmpfs "$root/dev/shm"
    ln -s pts/ptmx "$root/dev/ptmx"
    ln -s /proc/self/fd "$root/dev/fd"
    mkdir -p "$root/.old"
    cd "$root"
    pivot_root . .old
    umount -l /.old
    export container=namespaces
    exec /lib/systemd/systemd --system --unit=multi-user.target
}

if [ "${2:-}" = inside ]; then inside; fi
[ -d "$root" ] || make_root
# What an earlier walk left: it would start by itself, without its settings.
rm -rf "$root/opt/potside" "$root/etc/potside" "$root/var/lib/potside"
find "$root/etc/systemd/system" -name potside.service -delete
git clone --quiet "$checkout" "$root/opt/potside"
unshare --fork --kill-child --pid --mount --uts --ipc --cgroup sh "$0" "$folder" inside >"$folder/console.log" 2>&1 &
machine=$!
trap 'kill -9 "$machine" 2>/dev/null || true' EXIT
until first=$(pgrep --parent "$machine" systemd); do sleep 1; done
cd "$checkout"
"${PYTHON:-python3}" -m tests.operate.machine.walk nsenter --target "$first" --mount --uts --ipc --pid --cgroup --root --wd
