using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.V1;

namespace KitMesh.Hub.Enrolment;

/// <summary>Which roles may make which call. A call that is not in the table is for keepers.</summary>
internal static class CallRoles
{
    private const MeshRoles Readers = MeshRoles.Reader | MeshRoles.Keeper | MeshRoles.Hub;
    private const MeshRoles Writers = MeshRoles.Writer | MeshRoles.Hub;
    private const MeshRoles Everybody = Readers | Writers;
    private static readonly string Mesh = MeshService.Descriptor.FullName;
    private static readonly string Digests = DigestService.Descriptor.FullName;
    private static readonly string Enrolling = EnrolService.Descriptor.FullName;

    private static readonly Dictionary<string, MeshRoles> Calls = new(StringComparer.Ordinal)
    {
        [$"/{Mesh}/Exchange"] = Writers,
        [$"/{Mesh}/Push"] = Writers | MeshRoles.Keeper, // A release is a report of the keeper's own.
        [$"/{Mesh}/DeclareKit"] = MeshRoles.Keeper,
        [$"/{Enrolling}/Renew"] = Everybody,
        [$"/{Enrolling}/MintCode"] = MeshRoles.Keeper,
        [$"/{Enrolling}/ListNodes"] = MeshRoles.Keeper,
        [$"/{Enrolling}/RevokeNode"] = MeshRoles.Keeper,
        [$"/{Digests}/PackDigest"] = Readers,
        [$"/{Digests}/ListDigests"] = Readers,
        [$"/{Digests}/HearDigest"] = Writers | MeshRoles.Keeper,
        ["/grpc.health.v1.Health/Check"] = Everybody,
        ["/grpc.health.v1.Health/List"] = Everybody,
        ["/grpc.health.v1.Health/Watch"] = Everybody,
    };

    private static readonly string[] ReaderServices =
    [
        $"/{OutlookService.Descriptor.FullName}/",
        "/grpc.reflection.v1alpha.ServerReflection/",
        "/grpc.reflection.v1.ServerReflection/",
    ];

    /// <summary>The one call that a stranger may make.</summary>
    public static readonly string ForStrangers = $"/{Enrolling}/Enrol";

    /// <summary>Roles of which one is needed for a gRPC method.</summary>
    /// <param name="method">Its full name, such as <c>/kitmesh.v1.MeshService/Push</c>.</param>
    public static MeshRoles Of(string method) =>
        Calls.TryGetValue(method, out MeshRoles roles) ? roles
        : ReaderServices.Any(service => method.StartsWith(service, StringComparison.Ordinal)) ? Readers
        : MeshRoles.Keeper;

    /// <summary>Roles of which one is needed for a page.</summary>
    public static MeshRoles OfPages => Readers;
}
