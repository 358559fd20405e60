using KitMesh.Domain.Reports;

namespace KitMesh.Simulation.Checkers;

/// <summary>Content hashes of all that was ever written in a world: comparing bytes with what is known costs far less than hashing them again on every node.</summary>
internal sealed class ContentBook
{
    private readonly Dictionary<ReportKey, List<(ReadOnlyMemory<byte> Bytes, Sha256Hash Content)>> _known = [];

    /// <summary>The hash of a report's bytes.</summary>
    internal Sha256Hash Of(in RawReport report)
    {
        if (!_known.TryGetValue(report.Key, out List<(ReadOnlyMemory<byte> Bytes, Sha256Hash Content)>? contents))
        {
            _known[report.Key] = contents = [];
        }

        foreach ((ReadOnlyMemory<byte> bytes, Sha256Hash known) in contents)
        {
            if (bytes.Span.SequenceEqual(report.Bytes.Span))
            {
                return known;
            }
        }

        var content = Sha256Hash.Of(report.Bytes.Span);
        contents.Add((report.Bytes, content));
        return content;
    }
}
