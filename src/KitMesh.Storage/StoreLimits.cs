namespace KitMesh.Storage;

/// <summary>Bounds that hold for every store.</summary>
public static class StoreLimits
{
    /// <summary>The most reports in one write.</summary>
    public const int MaxBatch = 10_000;

    /// <summary>The most reports in one page of an answer.</summary>
    public const int MaxPage = 10_000;

    /// <summary>The most roll-ups in one answer: ten weeks of minutes.</summary>
    public const int MaxRollUps = 100_800;
}
