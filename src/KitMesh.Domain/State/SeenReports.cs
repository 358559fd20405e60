using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>Tells new reports from duplicates and forks, at 16 bytes a report.</summary>
/// <remarks>
/// The first 128 bits of a content hash stand for it. Sequences without a gap are kept in a list, the rest in a
/// dictionary, so that a stranger with far-apart sequences costs no more than an honest writer.
/// </remarks>
internal sealed class SeenReports
{
    private readonly Dictionary<OriginId, Origin> _origins = [];
    private readonly HashSet<(ReportKey Key, UInt128 Content)> _others = [];

    /// <summary>Takes a report in.</summary>
    /// <param name="key">Its key.</param>
    /// <param name="content">Its content hash.</param>
    /// <param name="forkOf">The first content of the sequence when this is another one.</param>
    /// <returns>True when it is new.</returns>
    public bool Add(ReportKey key, Sha256Hash content, out UInt128? forkOf)
    {
        forkOf = null;
        if (!_origins.TryGetValue(key.Origin, out Origin? origin))
        {
            _origins.Add(key.Origin, origin = new Origin());
        }

        if (origin.TryAdd(key.Sequence, content.High, out UInt128 known))
        {
            return true;
        }

        if (known == content.High || !_others.Add((key, content.High)))
        {
            return false;
        }

        forkOf = known;
        return true;
    }

    private sealed class Origin
    {
        private readonly List<UInt128> _run = [];
        private readonly Dictionary<ulong, UInt128> _apart = [];

        public bool TryAdd(ulong sequence, UInt128 content, out UInt128 known)
        {
            if (sequence - 1 < (ulong)_run.Count)
            {
                known = _run[(int)(sequence - 1)];
                return false;
            }

            if (sequence - 1 != (ulong)_run.Count)
            {
                bool added = _apart.TryAdd(sequence, content);
                known = added ? content : _apart[sequence];
                return added;
            }

            known = content;
            _run.Add(content);
            while (_apart.Remove((ulong)_run.Count + 1, out UInt128 next))
            {
                _run.Add(next);
            }

            return true;
        }
    }
}
