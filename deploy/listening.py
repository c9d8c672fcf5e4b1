"""Addresses and ports on this machine."""

import errno
import random
import socket

from deploy import Refused


def written(host: str, port: int) -> str:
    return f"[{host}]:{port}" if ":" in host else f"{host}:{port}"


def available(host: str) -> bool:
    """Whether this machine has the address at all."""
    try:
        _try(host, 0)
    except OSError:
        return False
    return True


def refuse_if_taken(host: str, port: int) -> None:
    try:
        _try(host, port)
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            raise Refused(f"Port {port} is taken by another program. Choose another: deploy/up --port N") from None
        raise Refused(f"Cannot listen on {written(host, port)}: {error.strerror}") from None


def free_port() -> int:
    """A loopback port that is free together with the next one, below those the system gives to outgoing calls."""
    for _ in range(200):
        port = random.randrange(20000, 32000)
        try:
            for number in (port, port + 1):
                _try("127.0.0.1", number)
        except OSError:
            continue
        return port
    raise Refused("No free port was found between 20000 and 32000.")


def _try(host: str, port: int) -> None:
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if probe.family == socket.AF_INET6:
            probe.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        probe.bind((host, port))
