using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>Tells new reports from duplicates and forks, at 16 bytes a report, and at nothing for old ones where somebody else can tell.</summary>
/// <remarks>
/// The first 128 bits of a content hash stand for it. Sequences without a gap are kept in a list, the rest in a
/// dictionary, so that a stranger with far-apart sequences costs no more than an honest writer. Trap: a hub under load for
/// hours would fill its memory with hashes that are nearly never compared. So a host that can read a report back by its key
/// keeps the newest <see cref="Recent"/> and as many again of each origin, and is asked for older ones.
/// </remarks>
/// <param name="first">The first content of a sequence seen long ago; null when it cannot be told any more. Null to keep all.</param>
internal sealed class SeenReports(Func<ReportKey, UInt128?>? first = null)
{
    /// <summary>Hashes of one origin that are always kept.</summary>
    internal const int Recent = 8_192;

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
            _origins.Add(key.Origin, origin = new Origin(first));
        }

        if (origin.TryAdd(key, content.High, out UInt128 known))
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

    private sealed class Origin(Func<ReportKey, UInt128?>? first)
    {
        private readonly List<UInt128> _run = [];
        private readonly Dictionary<ulong, UInt128> _apart = [];
        private ulong _forgotten;

        private ulong End => _forgotten + (ulong)_run.Count;

        public bool TryAdd(ReportKey key, UInt128 content, out UInt128 known)
        {
            ulong sequence = key.Sequence;
            if (sequence <= _forgotten)
            {
                // What cannot be told any more was dropped on purpose: there is nothing to compare with.
                known = first!(key) ?? content;
                return false;
            }

            if (sequence <= End)
            {
                known = _run[(int)(sequence - _forgotten - 1)];
                return false;
            }

            if (sequence != End + 1)
            {
                bool added = _apart.TryAdd(sequence, content);
                known = added ? content : _apart[sequence];
                return added;
            }

            known = content;
            _run.Add(content);
            while (_apart.Remove(End + 1, out UInt128 next))
            {
                _run.Add(next);
            }

            Forget();
            return true;
        }

        private void Forget()
        {
            if (first is not null && _run.Count >= 2 * Recent)
            {
                _forgotten += (ulong)(_run.Count - Recent);
                _run.RemoveRange(0, _run.Count - Recent);
            }
        }
    }
}
