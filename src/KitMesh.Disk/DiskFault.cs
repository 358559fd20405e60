namespace KitMesh.Disk;

/// <summary>One failed disk operation.</summary>
/// <param name="Kind">What went wrong.</param>
/// <param name="Operation">What was tried, as a verb: "write", "sync directory".</param>
/// <param name="Path">What it was tried on.</param>
/// <param name="Detail">The system's own words.</param>
public sealed record DiskFault(DiskFaultKind Kind, string Operation, string Path, string Detail)
{
    /// <summary>One sentence for a person.</summary>
    public override string ToString() => $"Could not {Operation} {Path}: {Words} ({Detail})";

    private string Words => Kind switch
    {
        DiskFaultKind.NotFound => "it is not there",
        DiskFaultKind.AlreadyThere => "the name is taken",
        DiskFaultKind.NoSpace => "no space is left",
        DiskFaultKind.AccessDenied => "it may not be changed by this user",
        DiskFaultKind.InUse => "another process holds it",
        DiskFaultKind.InputOutput => "the device failed",
        DiskFaultKind.DeviceGone => "the device is gone",
        DiskFaultKind.NotSupported => "this file system cannot do it",
        DiskFaultKind.Other => "the system refused",
        _ => throw new InvalidOperationException($"Unknown disk fault {Kind}."),
    };
}
