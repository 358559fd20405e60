namespace KitMesh.Domain.Reports;

/// <summary>Why there is no good copy where one was expected.</summary>
public enum CopyFailure
{
    /// <summary>Not known to this version.</summary>
    Unknown = 0,

    /// <summary>The card could not be read.</summary>
    CardUnreadable = 1,

    /// <summary>The drive refused a write or a flush.</summary>
    WriteFailed = 2,

    /// <summary>The drive is full.</summary>
    DriveFull = 3,

    /// <summary>The copy could not be read back.</summary>
    ReadBackFailed = 4,

    /// <summary>The copy was read and its hash differs.</summary>
    HashDiffers = 5,

    /// <summary>The copy is not there any more.</summary>
    Missing = 6,

    /// <summary>The file on the card changed while it was read.</summary>
    ClipChanged = 7,

    /// <summary>The drive went away.</summary>
    DriveGone = 8,
}
