"""Pushes reports and reads the answers with another maker's gRPC library. Usage: push_and_read.py HOST:PORT DESCRIPTORS.

No generated code: the messages come from a descriptor set, the calls from their names. Prints one JSON object.
"""
import json
import sys

import grpc
from google.protobuf import descriptor_pb2, descriptor_pool, json_format, message_factory


def main() -> None:
    address, descriptors = sys.argv[1:3]
    pool = descriptor_pool.DescriptorPool()
    files = descriptor_pb2.FileDescriptorSet()
    with open(descriptors, "rb") as stored:
        files.ParseFromString(stored.read())
    for file in files.file:
        pool.Add(file)

    factory = message_factory.MessageFactory(pool)

    def message(name):
        return factory.GetPrototype(pool.FindMessageTypeByName(name))

    channel = grpc.insecure_channel(address)

    def call(service, method, request, answer):
        stub = channel.unary_unary(
            f"/kitmesh.v1.{service}/{method}",
            request_serializer=lambda value: value.SerializeToString(),
            response_deserializer=message(f"kitmesh.v1.{answer}").FromString,
        )
        return stub(request, timeout=60)

    push = message("kitmesh.v1.PushRequest")()
    push.origin.node = "foreign-writer"
    push.origin.epoch = 0xFEDCBA9876543210
    push.first_sequence = 1
    for number in range(1, 4):
        report = message("kitmesh.v1.Report")()
        report.wall_unix_nanos = 1802628000000000000 + number * 1000000000
        report.boot = 5
        report.monotonic_nanos = number * 1000000000
        report.temperature_reading.subject = "box 1"
        report.temperature_reading.sensor = "foreign probe"
        report.temperature_reading.celsius = -10.5 - number
        push.encoded.append(report.SerializeToString())

    first = call("MeshService", "Push", push, "PushResponse")
    again = call("MeshService", "Push", push, "PushResponse")
    question = message("kitmesh.v1.GetReportsRequest")()
    question.node = "foreign-writer"
    kept = call("OutlookService", "GetReports", question, "GetReportsResponse")
    outlook = call("OutlookService", "GetOutlook", message("kitmesh.v1.GetOutlookRequest")(), "GetOutlookResponse")
    refused = None
    try:
        call("MeshService", "Push", message("kitmesh.v1.PushRequest")(), "PushResponse")
    except grpc.RpcError as error:
        refused = {"code": error.code().name, "words": error.details()}

    print(json.dumps({
        "added": first.added,
        "addedAgain": again.added,
        "durableTo": again.durable.ranges[0].last,
        "kept": [line.report.temperature_reading.celsius for line in kept.reports],
        "refused": refused,
        "outlook": json_format.MessageToDict(outlook),
    }))


main()
