namespace KitMesh.Domain.Results;

/// <summary>What one copy is worth as proof. Only <see cref="Proven"/> counts under the copy rule, and not on an intermediate drive.</summary>
public enum CopyStanding
{
    /// <summary>Written, never read back from the medium.</summary>
    Made = 0,

    /// <summary>Read back from the medium with an equal hash, recently enough.</summary>
    Proven = 1,

    /// <summary>It was proven, but longer ago than the rule allows: recheck it.</summary>
    Overdue = 2,

    /// <summary>A later reading failed, or the file is gone.</summary>
    Lost = 3,

    /// <summary>The drive behind the label is another one now, or cannot be told from a second one.</summary>
    DriveInDoubt = 4,

    /// <summary>The reports contradict themselves: sizes differ, the copy is older than the clip, the writer had no right.</summary>
    Odd = 5,
}
