using System.Globalization;

namespace KitMesh.Simulation;

/// <summary>Worlds that failed once: the first line of each file in Seeds/.</summary>
internal static class KeptSeeds
{
    /// <summary>All of them, in ascending order.</summary>
    internal static IReadOnlyList<ulong> All()
    {
        var seeds = new SortedSet<ulong>();
        foreach (string name in typeof(KeptSeeds).Assembly.GetManifestResourceNames().Where(name => name.EndsWith(".txt", StringComparison.Ordinal)))
        {
            using var reader = new StreamReader(typeof(KeptSeeds).Assembly.GetManifestResourceStream(name)!);
            seeds.Add(ulong.Parse(reader.ReadLine()!, NumberStyles.None, CultureInfo.InvariantCulture));
        }

        return [.. seeds];
    }
}
