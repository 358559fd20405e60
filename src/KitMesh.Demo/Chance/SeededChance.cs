namespace KitMesh.Demo.Chance;

/// <summary>A small generator with named streams: one seed gives the whole scenario, and one part's draws do not move another's.</summary>
/// <remarks>
/// SplitMix64. Source: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014,
/// DOI 10.1145/2660193.2660195 (constants from memory; checked against the published first outputs of seed 1234567).
/// </remarks>
public sealed class SeededChance
{
    private ulong _state;

    /// <summary>A stream.</summary>
    /// <param name="seed">The scenario's seed.</param>
    /// <param name="stream">Name of the part that draws.</param>
    public SeededChance(ulong seed, string stream)
    {
        // FNV-1a over the name, so that the stream depends on nothing but its name.
        ulong hash = 14695981039346656037;
        foreach (char c in stream)
        {
            hash = (hash ^ c) * 1099511628211;
        }

        _state = seed ^ hash;
    }

    internal SeededChance(ulong state) => _state = state;

    /// <summary>64 random bits.</summary>
    public ulong Next()
    {
        _state += 0x9E3779B97F4A7C15;
        ulong z = _state;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
        return z ^ (z >> 31);
    }

    /// <summary>A number from 0 to below 1.</summary>
    public double Share() => (Next() >> 11) * (1.0 / (1UL << 53));

    /// <summary>A number in a range.</summary>
    /// <param name="from">Least.</param>
    /// <param name="to">Bound that is not reached.</param>
    public double Between(double from, double to) => from + ((to - from) * Share());

    /// <summary>A whole number in a range.</summary>
    /// <param name="from">Least.</param>
    /// <param name="to">Most.</param>
    public int Whole(int from, int to) => from + (int)(Share() * (to - from + 1));

    /// <summary>A normal deviate (Box and Muller, one of the pair).</summary>
    public double Normal() => Math.Sqrt(-2 * Math.Log(1 - Share())) * Math.Cos(2 * Math.PI * Share());

    /// <summary>A positive factor with mean 1 and the given relative spread (lognormal).</summary>
    /// <param name="spread">Standard deviation over mean.</param>
    public double Factor(double spread)
    {
        double variance = Math.Log(1 + (spread * spread));
        return Math.Exp((Math.Sqrt(variance) * Normal()) - (variance / 2));
    }

    /// <summary>Random bytes.</summary>
    /// <param name="into">Where to.</param>
    public void Fill(Span<byte> into)
    {
        while (into.Length >= 8)
        {
            BitConverter.TryWriteBytes(into, Next());
            into = into[8..];
        }

        ulong rest = Next();
        for (int i = 0; i < into.Length; i++)
        {
            into[i] = (byte)(rest >> (8 * i));
        }
    }
}
