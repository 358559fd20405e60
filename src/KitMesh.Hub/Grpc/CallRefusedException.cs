using Grpc.Core;

namespace KitMesh.Hub.Grpc;

/// <summary>A call is refused for a reason that the caller can mend. <see cref="ErrorInterceptor"/> turns it into a rich status.</summary>
internal sealed class CallRefusedException : Exception
{
    private CallRefusedException(StatusCode code, string message, string? field)
        : base(message)
    {
        Code = code;
        Field = field;
    }

    /// <summary>The status.</summary>
    public StatusCode Code { get; }

    /// <summary>The field of the request that is wrong; null when it is not the request.</summary>
    public string? Field { get; }

    /// <summary>A field of the request is wrong.</summary>
    public static CallRefusedException Bad(string field, string message) => new(StatusCode.InvalidArgument, message, field);

    /// <summary>There is no room now.</summary>
    public static CallRefusedException Busy(string message) => new(StatusCode.ResourceExhausted, message, null);

    /// <summary>The caller is nobody that the hub knows.</summary>
    public static CallRefusedException Stranger(string message) => new(StatusCode.Unauthenticated, message, null);

    /// <summary>The caller may not do this.</summary>
    public static CallRefusedException NotAllowed(string message) => new(StatusCode.PermissionDenied, message, null);

    /// <summary>The hub cannot do it now, and it is not the caller's fault.</summary>
    public static CallRefusedException Unavailable(string message) => new(StatusCode.Unavailable, message, null);

    /// <summary>What is asked for is not there.</summary>
    public static CallRefusedException NotFound(string message) => new(StatusCode.NotFound, message, null);
}
