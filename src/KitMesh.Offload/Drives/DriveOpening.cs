namespace KitMesh.Offload.Drives;

/// <summary>What came of opening a drive.</summary>
internal abstract record DriveOpening
{
    private DriveOpening()
    {
    }

    /// <summary>It is held.</summary>
    /// <param name="Drive">The drive.</param>
    public sealed record Taken(OpenDrive Drive) : DriveOpening;

    /// <summary>It cannot be used now.</summary>
    /// <param name="Why">Why, for a person.</param>
    public sealed record Refused(string Why) : DriveOpening;
}
