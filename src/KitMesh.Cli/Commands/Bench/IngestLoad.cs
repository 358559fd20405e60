using KitMesh.Domain.Reports;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>Reports as an agent at a charge controller writes them: walks at sensor resolution, from one seed.</summary>
internal sealed class IngestLoad
{
    private IngestLoad(OriginId origin, RawReport[] reports, long readings)
    {
        Origin = origin;
        Reports = reports;
        Readings = readings;
    }

    /// <summary>The writer.</summary>
    public OriginId Origin { get; }

    /// <summary>Its reports.</summary>
    public RawReport[] Reports { get; }

    /// <summary>Sensor values in them.</summary>
    public long Readings { get; }

    /// <summary>The reports of one agent.</summary>
    /// <param name="agent">Its number.</param>
    /// <param name="count">How many reports.</param>
    /// <param name="seed">Seed of the walk.</param>
    /// <param name="kin">Begins the names of the agent and its things.</param>
    public static IngestLoad Of(int agent, int count, int seed, string kin = "")
    {
        var walk = new IngestWalk(agent, seed, kin);
        RawReport[] reports = walk.Take(count);
        return new IngestLoad(walk.Origin, reports, walk.Readings);
    }
}
