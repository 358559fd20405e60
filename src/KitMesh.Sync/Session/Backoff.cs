namespace KitMesh.Sync.Session;

/// <summary>Pauses that grow: 1 s, times 1.6 each, up to 120 s, each off by up to a fifth so that devices do not knock together.</summary>
/// <param name="seed">Seed of the jitter.</param>
/// <remarks>The figures are those of the gRPC connection backoff protocol.</remarks>
public sealed class Backoff(ulong seed)
{
    private const double First = 1;
    private const double Growth = 1.6;
    private const double Longest = 120;
    private const double Jitter = 0.2;

    private readonly Random _random = new((int)(seed ^ (seed >> 32)));
    private double _next = First;

    /// <summary>The next pause.</summary>
    public TimeSpan Next()
    {
        double pause = _next * (1 + (Jitter * ((2 * _random.NextDouble()) - 1)));
        _next = Math.Min(_next * Growth, Longest);
        return TimeSpan.FromSeconds(pause);
    }

    /// <summary>Something went well: begin with the shortest again.</summary>
    public void Reset() => _next = First;
}
