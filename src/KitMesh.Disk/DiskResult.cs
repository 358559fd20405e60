using System.Diagnostics.CodeAnalysis;

namespace KitMesh.Disk;

/// <summary>How a disk operation without a value ended. The default value is success.</summary>
public readonly struct DiskResult : IEquatable<DiskResult>
{
    private readonly DiskFault? _fault;

    private DiskResult(DiskFault fault) => _fault = fault;

    /// <summary>The operation did what it says.</summary>
    public static DiskResult Done => default;

    /// <summary>The fault, or null after success.</summary>
    public DiskFault? Fault => _fault;

    /// <summary>Whether it failed, with the fault.</summary>
    /// <param name="fault">What went wrong.</param>
    public bool Failed([NotNullWhen(true)] out DiskFault? fault)
    {
        fault = _fault;
        return fault is not null;
    }

    /// <summary>A failed operation.</summary>
    /// <param name="fault">What went wrong.</param>
    public static implicit operator DiskResult(DiskFault fault) => new(fault);

    /// <summary>A failed operation.</summary>
    /// <param name="fault">What went wrong.</param>
    public static DiskResult FromDiskFault(DiskFault fault) => new(fault);

    /// <inheritdoc/>
    public bool Equals(DiskResult other) => Equals(_fault, other._fault);

    /// <inheritdoc/>
    public override bool Equals(object? obj) => obj is DiskResult other && Equals(other);

    /// <inheritdoc/>
    public override int GetHashCode() => _fault?.GetHashCode() ?? 0;

    /// <summary>Whether two results are the same.</summary>
    public static bool operator ==(DiskResult left, DiskResult right) => left.Equals(right);

    /// <summary>Whether two results differ.</summary>
    public static bool operator !=(DiskResult left, DiskResult right) => !left.Equals(right);

    /// <inheritdoc/>
    public override string ToString() => _fault?.ToString() ?? "done";
}
