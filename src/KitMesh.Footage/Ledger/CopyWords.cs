namespace KitMesh.Footage.Ledger;

/// <summary>Says in words why a copy does not count and what mends it.</summary>
internal static class CopyWords
{
    public const string Intermediate = "good, but on an intermediate drive, which is cleared again: counts for no copy rule";

    public static string? Reason(CopyDoubt doubt, DriveView drive) => doubt switch
    {
        CopyDoubt.None => null,
        CopyDoubt.NeverReadBack => "written, never read back",
        CopyDoubt.OnlyCached => "read back through the page cache, which says nothing about the medium: recheck it",
        CopyDoubt.InFuture => "its report is dated after now, by a wrong clock: recheck it",
        CopyDoubt.BeforeClip => "a clock puts it before the clip itself: recheck it",
        CopyDoubt.SizeDiffers => "its size is not the clip's: recheck it",
        CopyDoubt.ClipSizeOdd => "the clip's own size is impossible or told in two ways: read the card again",
        CopyDoubt.NotAttested => "only another hub's word that its writer said so: no seal of the writer covers it here yet",
        CopyDoubt.NoRight => "its writer had no right to prove copies",
        CopyDoubt.OtherDrive => $"{drive.Name} is another drive now, or was reformatted (identity {drive.Identity}): find the earlier one, or copy again",
        CopyDoubt.SharedIdentity or CopyDoubt.Withdrawn => drive.Doubt,
        CopyDoubt.Overdue => "its last proof is older than the rule allows: recheck it",
        CopyDoubt.ReadBackFailed => "could not be read at the last try",
        CopyDoubt.HashDiffers => "read later, and its content differs",
        CopyDoubt.Missing => "no longer on the drive",
        CopyDoubt.FailedUnknown => "failed a later check in a way that this version does not know",
        _ => throw new ArgumentOutOfRangeException(nameof(doubt), doubt, "No words for this doubt."),
    };
}
