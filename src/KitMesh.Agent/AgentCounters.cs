namespace KitMesh.Agent;

/// <summary>What running the agent costs: it lives from the battery that it reports on. Safe for many threads.</summary>
public sealed class AgentCounters
{
    private long _wakeUps;
    private long _bytesSent;
    private long _samples;
    private long _written;
    private long _sessions;

    /// <summary>Times that the process woke for work: polls, commits, session steps.</summary>
    public long WakeUps => Interlocked.Read(ref _wakeUps);

    /// <summary>Bytes of frames sent to hubs.</summary>
    public long BytesSent => Interlocked.Read(ref _bytesSent);

    /// <summary>Samples that readers handed over.</summary>
    public long Samples => Interlocked.Read(ref _samples);

    /// <summary>Reports that became durable in the journal.</summary>
    public long Written => Interlocked.Read(ref _written);

    /// <summary>Sessions that reached a hub.</summary>
    public long Sessions => Interlocked.Read(ref _sessions);

    internal void CountWakeUp() => Interlocked.Increment(ref _wakeUps);

    internal void CountBytes(int bytes) => Interlocked.Add(ref _bytesSent, bytes);

    internal void CountSample() => Interlocked.Increment(ref _samples);

    internal void CountWritten(int reports) => Interlocked.Add(ref _written, reports);

    internal void CountSession() => Interlocked.Increment(ref _sessions);
}
