"""A filter for system calls, for the process that runs a learner's code.

In: nothing. Out: from then on this process cannot start programs or processes, open
sockets, signal others, look into them, mount or keep anything in the kernel. The
filter is a small program of the kernel's own kind (classic BPF), put together here
from call numbers, so that no library is needed. Threads stay allowed.
"""

from __future__ import annotations

import ctypes
import os
import struct
import sys

ALLOW, REFUSE, UNKNOWN, KILL = 0x7FFF0000, 0x00050001, 0x00050026, 0x80000000  # EPERM, ENOSYS
_LOAD, _EQUAL, _ANY_BIT, _AT_LEAST, _RETURN = 0x20, 0x15, 0x45, 0x35, 0x06
_NUMBER, _ARCHITECTURE, _FIRST_ARGUMENT = 0, 4, 16  # offsets in the kernel's record of a call
_THREAD = 0x00010000  # clone's flag for a thread, which is not a process of its own

# machine -> (kernel's code for it, numbers of the calls); the tables are the kernel's own
# (arch/x86/entry/syscalls/syscall_64.tbl, include/uapi/asm-generic/unistd.h)
MACHINES = {
    "x86_64": (
        0xC000003E,
        {
            "clone": 56, "clone3": 435, "tgkill": 234, "prlimit64": 302,
            "fork": 57, "vfork": 58, "execve": 59, "execveat": 322,
            "socket": 41, "connect": 42, "bind": 49, "listen": 50,
            "kill": 62, "tkill": 200, "rt_sigqueueinfo": 129, "rt_tgsigqueueinfo": 297,
            "ptrace": 101, "process_vm_readv": 310, "process_vm_writev": 311, "kcmp": 312,
            "mount": 165, "umount2": 166, "pivot_root": 155, "chroot": 161, "unshare": 272,
            "setns": 308, "bpf": 321, "perf_event_open": 298, "add_key": 248,
            "request_key": 249, "keyctl": 250, "userfaultfd": 323, "name_to_handle_at": 303,
            "open_by_handle_at": 304, "mknod": 133, "mknodat": 259, "setpriority": 141,
            "shmget": 29, "semget": 64, "msgget": 68, "mq_open": 240, "memfd_create": 319,
            "init_module": 175, "delete_module": 176, "finit_module": 313, "kexec_load": 246,
            "reboot": 169, "swapon": 167, "swapoff": 168, "iopl": 172, "ioperm": 173,
        },
    ),
    "aarch64": (
        0xC00000B7,
        {
            "clone": 220, "clone3": 435, "tgkill": 131, "prlimit64": 261,
            "execve": 221, "execveat": 281, "socket": 198, "connect": 203, "bind": 200,
            "listen": 201, "kill": 129, "tkill": 130, "rt_sigqueueinfo": 138,
            "rt_tgsigqueueinfo": 240, "ptrace": 117, "process_vm_readv": 270,
            "process_vm_writev": 271, "kcmp": 272, "mount": 40, "umount2": 39,
            "pivot_root": 41, "chroot": 51, "unshare": 97, "setns": 268, "bpf": 280,
            "perf_event_open": 241, "add_key": 217, "request_key": 218, "keyctl": 219,
            "userfaultfd": 282, "name_to_handle_at": 264, "open_by_handle_at": 265,
            "mknodat": 33, "setpriority": 140, "shmget": 194, "semget": 190, "msgget": 186,
            "mq_open": 180, "memfd_create": 279, "init_module": 105, "delete_module": 106,
            "finit_module": 273, "kexec_load": 104, "reboot": 142, "swapon": 224,
            "swapoff": 225,
        },
    ),
}  # fmt: skip
# the same number on every machine
_COMMON = {
    "pidfd_send_signal": 424, "io_uring_setup": 425, "io_uring_enter": 426,
    "io_uring_register": 427, "open_tree": 428, "move_mount": 429, "fsopen": 430,
    "fsconfig": 431, "fsmount": 432, "fspick": 433, "pidfd_open": 434, "pidfd_getfd": 438,
    "process_madvise": 440, "mount_setattr": 442,
}  # fmt: skip


def program(machine: str, own_pid: int) -> bytes:
    """Return the filter for a machine; KeyError for one without a table."""
    architecture, calls = MACHINES[machine]
    rest = {**calls, **_COMMON}
    clone, clone3 = rest.pop("clone"), rest.pop("clone3")
    tgkill, prlimit = rest.pop("tgkill"), rest.pop("prlimit64")
    code = [
        _op(_LOAD, _ARCHITECTURE),
        _op(_EQUAL, architecture, 1, 0),
        _op(_RETURN, KILL),
        _op(_LOAD, _NUMBER),
        # the second, 32-bit set of calls of an x86 machine starts here
        _op(_AT_LEAST, 0x40000000, 0, 1),
        _op(_RETURN, KILL),
        _op(_EQUAL, clone3, 0, 1),
        _op(_RETURN, UNKNOWN),  # its flags cannot be read; the C library then takes clone
        *_when_first_argument(clone, _ANY_BIT, _THREAD),
        *_when_first_argument(tgkill, _EQUAL, own_pid),  # abort() signals itself
        *_when_first_argument(prlimit, _EQUAL, 0),  # its own limits only
    ]
    for number in sorted(rest.values()):
        code += [_op(_EQUAL, number, 0, 1), _op(_RETURN, REFUSE)]
    return b"".join([*code, _op(_RETURN, ALLOW)])


def _op(code: int, value: int, if_true: int = 0, if_false: int = 0) -> bytes:
    return struct.pack("=HBBI", code, if_true, if_false, value)


def _when_first_argument(call: int, test: int, value: int) -> list[bytes]:
    return [
        _op(_EQUAL, call, 0, 4),
        _op(_LOAD, _FIRST_ARGUMENT),
        _op(test, value, 0, 1),
        _op(_RETURN, ALLOW),
        _op(_RETURN, REFUSE),
    ]


class _Program(ctypes.Structure):
    _fields_ = (("length", ctypes.c_ushort), ("code", ctypes.c_char_p))


def hide() -> None:
    """Let no other process of the same user look into this one."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(4, 0, 0, 0, 0)  # PR_SET_DUMPABLE


def load() -> str:
    """Put the filter on this process; return why it could not be done, "" when it is done."""
    if sys.platform != "linux":
        return "the filter for system calls exists on Linux only"
    machine = os.uname().machine
    if machine not in MACHINES or sys.byteorder != "little":
        return f"there is no filter for system calls for a {machine} machine"
    code = program(machine, os.getpid())
    record = _Program(len(code) // 8, code)
    prctl = ctypes.CDLL(None, use_errno=True).prctl
    hide()
    if prctl(38, 1, 0, 0, 0) or prctl(22, 2, ctypes.byref(record), 0, 0):  # NO_NEW_PRIVS, SECCOMP
        return f"the kernel refused the filter ({os.strerror(ctypes.get_errno())})"
    return ""
