namespace KitMesh.Offload.Drives;

/// <summary>What somebody says of a drive's power, where the drive itself does not count how often it was switched on.</summary>
public enum PowerWord
{
    /// <summary>Nothing: only the drive's own count is believed.</summary>
    None = 0,

    /// <summary>The drive has no other power than the plug that it is read through.</summary>
    UnpluggingCutsPower = 1,

    /// <summary>It was without power since its copies were written.</summary>
    WasUnpowered = 2,
}
