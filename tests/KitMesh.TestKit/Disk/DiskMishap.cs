namespace KitMesh.TestKit.Disk;

/// <summary>What happens to an operation of a simulated disk.</summary>
public enum DiskMishap
{
    /// <summary>It works.</summary>
    None,

    /// <summary>The power goes before it is done; of what is not synced any part may be on the medium.</summary>
    PowerCut,

    /// <summary>The device fails. A failed sync drops what was not yet written, and shows it as before or not, as Linux file systems do.</summary>
    InputOutput,

    /// <summary>No space; a write may have written its beginning.</summary>
    NoSpace,
}
