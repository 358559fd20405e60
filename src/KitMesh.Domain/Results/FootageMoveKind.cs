namespace KitMesh.Domain.Results;

/// <summary>What can be done for footage that is at risk.</summary>
public enum FootageMoveKind
{
    /// <summary>Copy clips to one more drive.</summary>
    Copy = 0,

    /// <summary>Put a drive into another case, or give a case to another carrier.</summary>
    Place = 1,

    /// <summary>Read a drive's copies again.</summary>
    Recheck = 2,
}
