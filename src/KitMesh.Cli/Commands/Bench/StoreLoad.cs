using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>Readings of many agents that take turns, made while they are needed: a hundred million do not fit into memory.</summary>
internal sealed class StoreLoad
{
    /// <summary>Batches of the barest insert: enough to measure, few enough for a short run.</summary>
    public const int FloorRuns = 256;

    private const int RunLength = 1_000;
    private const double ReadingsPerReport = 3.5;
    private readonly int _batch;
    private readonly long _reportsPerAgent;

    /// <param name="agents">Agents.</param>
    /// <param name="readings">Sensor values, about.</param>
    /// <param name="batch">Reports in one write.</param>
    public StoreLoad(int agents, long readings, int batch)
    {
        Agents = agents;
        _batch = batch;
        _reportsPerAgent = Math.Max(4, (long)Math.Ceiling(readings / ReadingsPerReport / agents / 4) * 4);
        Readings = (long)(_reportsPerAgent * agents * ReadingsPerReport);
    }

    /// <summary>Agents.</summary>
    public int Agents { get; }

    /// <summary>Sensor values: each four reports hold 14.</summary>
    public long Readings { get; }

    /// <summary>Reports.</summary>
    public long Reports => _reportsPerAgent * Agents;

    /// <summary>Reports of one agent.</summary>
    public long ReportsPerAgent => _reportsPerAgent;

    /// <summary>Reports in the runs that the floor takes.</summary>
    public long FloorReports => RawRuns().Take(FloorRuns).Sum(run => (long)run.Count);

    /// <summary>Origin of an agent.</summary>
    public static OriginId OriginOf(int agent) => new IngestWalk(agent, 1, "").Origin;

    /// <summary>Neighbouring reports of one agent, agent after agent, round after round.</summary>
    public IEnumerable<IReadOnlyList<RawReport>> RawRuns()
    {
        IngestWalk[] walks = [.. Enumerable.Range(0, Agents).Select(agent => new IngestWalk(agent, 1, ""))];
        for (long at = 0; at < _reportsPerAgent; at += RunLength)
        {
            int count = (int)Math.Min(RunLength, _reportsPerAgent - at);
            foreach (IngestWalk walk in walks)
            {
                yield return walk.Take(count);
            }
        }
    }

    /// <summary>Writes as a hub makes them: decoded and timed.</summary>
    public IEnumerable<IReadOnlyList<IncomingReport>> Writes() => RawRuns().SelectMany(run => run).Chunk(_batch).Select(batch => (IReadOnlyList<IncomingReport>)[.. batch.Select(Decode)]);

    private static IncomingReport Decode(RawReport raw)
    {
        Report report = ReportCodec.Decode(raw);
        return new IncomingReport(raw, new TimedReport(report, report.Written.Wall, ClockTrust.HardwareClock), report.Written.Wall + Duration.FromSeconds(3));
    }
}
