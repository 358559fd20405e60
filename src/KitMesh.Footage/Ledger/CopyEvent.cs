using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>One report about one copy, packed.</summary>
internal struct CopyEvent
{
    public PackedStamp Stamp;
    public long Size;
    public int Clip;
    public int Drive;
    public int Path;
    public int NextOfClip;
    public CopyEventKind Kind;
    public ReadBackLevel Level;
    public CopyFailure Failure;

    /// <summary>Whether a failure says that a copy which was there is no longer good.</summary>
    /// <remarks>A write that failed, a full drive or a pulled cable says nothing about bytes proven before.</remarks>
    public static bool Disproves(CopyFailure failure) =>
        failure is CopyFailure.ReadBackFailed or CopyFailure.HashDiffers or CopyFailure.Missing or CopyFailure.Unknown;
}
