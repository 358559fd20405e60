"""Asks a hub with another maker's gRPC library and TLS stack. Usage: ask_with_certificate.py HOST:PORT IDENTITY_FOLDER.

Prints the status of GetStatus with the certificate, without it, and of a call that the role does not allow.
"""
import pathlib
import sys

import grpc

EMPTY = b""


def code(channel, method):
    try:
        answer = channel.unary_unary(method, request_serializer=lambda value: value, response_deserializer=lambda value: value)(EMPTY, timeout=60)
        return f"OK {len(answer) > 0}"
    except grpc.RpcError as refused:
        return f"{refused.code().name} {refused.details()}"


def main() -> None:
    address, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    root = (folder / "root.crt").read_bytes()
    member = grpc.ssl_channel_credentials(root, (folder / "node.key").read_bytes(), (folder / "node.crt").read_bytes())
    stranger = grpc.ssl_channel_credentials(root)
    with grpc.secure_channel(address, member) as channel:
        print(code(channel, "/kitmesh.v1.OutlookService/GetStatus"))
        print(code(channel, "/kitmesh.v1.MeshService/DeclareKit"))
    with grpc.secure_channel(address, stranger) as channel:
        print(code(channel, "/kitmesh.v1.OutlookService/GetStatus"))


main()
