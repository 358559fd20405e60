using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Seals;

namespace KitMesh.Hub.Seals;

/// <summary>What a node handed over itself and has not sealed: this hub knows whose it is and writes it down.</summary>
/// <remarks>
/// Only what others act on is worth a report, and only where no seal of the writer comes soon after. So a station that seals
/// costs nothing here, and a script with a certificate still gives proof, on the hub that it spoke to.
/// </remarks>
internal sealed class DirectTakes(Caller? caller)
{
    private const int Most = 64;
    private readonly Lock _gate = new();
    private readonly List<TakenDirectly> _open = [];

    /// <summary>Whether enough waits that it should be written now.</summary>
    public bool IsFull
    {
        get
        {
            lock (_gate)
            {
                return _open.Count >= Most;
            }
        }
    }

    /// <summary>The caller handed reports over, and they are durable.</summary>
    /// <param name="reports">Reports of one origin, ascending.</param>
    public void Note(IReadOnlyList<RawReport> reports)
    {
        if (caller is not { Way: CallerWay.Certificate } || reports.Count == 0 || reports[0].Key.Origin.Node != caller.Node)
        {
            return;
        }

        int first = -1;
        int last = -1;
        lock (_gate)
        {
            for (int i = 0; i < reports.Count; i++)
            {
                ReportKind? kind = BodyPeek.KindOf(reports[i].Bytes.Span);
                if (kind == ReportKind.OriginSealed)
                {
                    _open.Clear();
                    first = last = -1;
                }
                else if (kind is { } known && OwnSeals.Weighs(known))
                {
                    first = first < 0 ? i : first;
                    last = i;
                }
            }

            if (first >= 0)
            {
                _open.Add(Of(reports, first, last));
            }
        }
    }

    /// <summary>What is to be written.</summary>
    public IReadOnlyList<TakenDirectly> Take()
    {
        lock (_gate)
        {
            TakenDirectly[] taken = [.. _open];
            _open.Clear();
            return taken;
        }
    }

    private static TakenDirectly Of(IReadOnlyList<RawReport> reports, int first, int last) => new(
        reports[first].Key.Origin,
        reports[first].Key.Sequence,
        reports[last].Key.Sequence,
        SealContents.Of(reports.Skip(first).Take(last - first + 1).Select(report => new ReportContent(report.Key.Sequence, Sha256Hash.Of(report.Bytes.Span)))));
}
