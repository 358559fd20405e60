namespace KitMesh.Simulation;

/// <summary>Adds up what many worlds went through.</summary>
internal sealed class RunSummary
{
    private readonly Lock _gate = new();
    private readonly SortedDictionary<FaultKind, long> _faults = [];
    private long _reports;
    private long _sessions;
    private long _events;
    private long _released;
    private int _twice;
    private int _mostRounds;
    private long _mostBytes;

    internal int Worlds { get; private set; }

    internal void Add(WorldResult? result, bool isTwice)
    {
        lock (_gate)
        {
            Worlds++;
            _twice += isTwice ? 1 : 0;
            if (result is null)
            {
                return;
            }

            _reports += result.Reports;
            _sessions += result.Sessions;
            _events += result.Events;
            _released += result.Released;
            _mostRounds = Math.Max(_mostRounds, result.HealingRounds);
            _mostBytes = Math.Max(_mostBytes, result.MostBytesWaiting);
            foreach ((FaultKind kind, int count) in result.Faults)
            {
                _faults[kind] = _faults.GetValueOrDefault(kind) + count;
            }
        }
    }

    internal void Print(TextWriter output, TimeSpan elapsed)
    {
        output.WriteLine($"{Worlds} worlds in {elapsed.TotalSeconds:0.0} s; {_twice} of them twice, the same bit for bit");
        output.WriteLine($"{_reports} reports, {_sessions} sessions, {_events} events; {_released} times a hub released a card, with proof; at most {_mostRounds} rounds of exchanges to heal; at most {_mostBytes} bytes waiting for one node");
        output.WriteLine($"{_faults.Values.Sum()} faults: {string.Join(", ", _faults.Select(fault => $"{fault.Key} {fault.Value}"))}");
    }
}
