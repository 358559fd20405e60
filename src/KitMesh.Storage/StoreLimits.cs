namespace KitMesh.Storage;

/// <summary>Bounds that hold for every store.</summary>
public static class StoreLimits
{
    /// <summary>The most reports in one write. Every write saves each roll-up that it touched once, so large ones cost less a report.</summary>
    public const int MaxBatch = 32_768;

    /// <summary>The most reports in one page of an answer.</summary>
    public const int MaxPage = 10_000;

    /// <summary>The most roll-ups in one answer: ten weeks of minutes.</summary>
    public const int MaxRollUps = 100_800;
}
