using System.Globalization;

namespace KitMesh.Simulation;

/// <summary>Worlds that failed once: the first line of each file in Seeds/, with the word forger where the world has one.</summary>
internal static class KeptSeeds
{
    /// <summary>All of them, in ascending order.</summary>
    internal static IReadOnlyList<(ulong Seed, bool Forger)> All()
    {
        var seeds = new SortedSet<(ulong, bool)>();
        foreach (string name in typeof(KeptSeeds).Assembly.GetManifestResourceNames().Where(name => name.EndsWith(".txt", StringComparison.Ordinal)))
        {
            using var reader = new StreamReader(typeof(KeptSeeds).Assembly.GetManifestResourceStream(name)!);
            string[] words = reader.ReadLine()!.Split(' ');
            seeds.Add((ulong.Parse(words[0], NumberStyles.None, CultureInfo.InvariantCulture), words is [_, "forger"]));
        }

        return [.. seeds];
    }
}
