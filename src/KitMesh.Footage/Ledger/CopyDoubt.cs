namespace KitMesh.Footage.Ledger;

/// <summary>Why a copy does not count.</summary>
internal enum CopyDoubt : byte
{
    None = 0,
    NeverReadBack,
    OnlyCached,
    InFuture,
    BeforeClip,
    SizeDiffers,
    ClipSizeOdd,
    NoRight,
    NotAttested,
    OtherDrive,
    SharedIdentity,
    Withdrawn,
    Overdue,
    ReadBackFailed,
    HashDiffers,
    Missing,
    FailedUnknown,
}
