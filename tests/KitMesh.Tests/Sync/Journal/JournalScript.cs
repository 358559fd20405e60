using System.Text;
using KitMesh.Disk;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Disk;
using NodaTime;
using JournalCore = KitMesh.Sync.Journal.Journal;

namespace KitMesh.Tests.Sync.Journal;

/// <summary>A short life of a journal that meets every step there is: append, roll, seal, fork, repeat, new epoch, drop.</summary>
internal sealed class JournalScript(SimulatedDisk disk, bool isOutbox)
{
    internal const string Folder = "/data/journal";

    private static readonly OriginId Ridge = new(NodeId.Parse("ridge-station"), 0x11);
    private static readonly OriginId Hide = new(NodeId.Parse("hide-recorder"), 0x22);
    private ulong _fresh = 1000;
    private ulong _ridge;
    private ulong _hide;

    internal JournalOracle Oracle { get; } = new();

    internal JournalOptions Options { get; } = new()
    {
        Folder = Folder,
        Node = NodeId.Parse("ridge-hub"),
        SegmentBytes = 4096,
        KeepAfterAcknowledgement = Duration.FromSeconds(10),
        DropAcknowledged = isOutbox,
    };

    internal JournalCore Open()
    {
        var opened = Assert.IsType<JournalOpening.Opened>(JournalCore.Open(disk, Options, ++_fresh, ++_fresh));
        return opened.Journal;
    }

    /// <summary>Opens, and once more when the disk failed just then.</summary>
    internal JournalCore OpenDespiteFault() =>
        JournalCore.Open(disk, Options, ++_fresh, ++_fresh) is JournalOpening.Opened opened ? opened.Journal : Open();

    internal void Live(int rounds)
    {
        JournalCore journal = OpenDespiteFault();
        for (int round = 0; round < rounds; round++)
        {
            LiveRound(journal, round);
        }

        journal.Dispose();
    }

    internal void LiveRound(JournalCore journal, int round)
    {
        Instant arrival = NodaConstants.UnixEpoch + Duration.FromSeconds(round);
        AppendOwn(journal, 1 + (round % 3), round, arrival);
        if (!isOutbox)
        {
            Append(journal, [.. Reports(Ridge, _ridge, 3), .. Reports(Hide, _hide, 2)], arrival);
        }

        if (!isOutbox && round % 4 == 3)
        {
            Append(journal, [new RawReport(new ReportKey(Ridge, 1), Encoding.UTF8.GetBytes($"another first report {round}"))], arrival);
        }

        if (round == 5)
        {
            _ = journal.OpenEpoch(++_fresh);
        }

        if (isOutbox && round % 3 == 2)
        {
            ulong upTo = journal.Have(journal.Own)?.Ranges.Last ?? 0;
            journal.Acknowledge(journal.Own, upTo);
            Oracle.AcknowledgedUpstream(journal.Own, upTo);
        }

        _ = journal.Maintain(Duration.FromSeconds(round * 6));
    }

    internal void AppendOwn(JournalCore journal, int count, int round, Instant arrival)
    {
        var written = new List<RawReport>();
        OwnReportEncoder encoder = key =>
        {
            byte[] bytes = Bytes(key, round);
            written.Add(new RawReport(key, bytes));
            return bytes;
        };
        // A caller whose report failed sends it again.
        for (int attempt = 0; attempt < 3; attempt++)
        {
            written.Clear();
            var encoders = Enumerable.Repeat<OwnReportEncoder>(key => Noted(encoder, key, written), count).ToList();
            OwnAppend appended = journal.AppendOwn(encoders, arrival);
            if (appended.Result is AppendResult.Durable)
            {
                Oracle.Durable(written);
                return;
            }
        }
    }

    internal void Append(JournalCore journal, IReadOnlyList<RawReport> reports, Instant arrival)
    {
        Oracle.Offer(reports);
        for (int attempt = 0; attempt < 3; attempt++)
        {
            if (journal.Append(reports, arrival) is AppendResult.Durable)
            {
                Oracle.Durable(reports);
                _ridge = Math.Max(_ridge, reports.Where(report => report.Key.Origin == Ridge).Select(report => report.Key.Sequence).DefaultIfEmpty().Max());
                _hide = Math.Max(_hide, reports.Where(report => report.Key.Origin == Hide).Select(report => report.Key.Sequence).DefaultIfEmpty().Max());
                return;
            }
        }
    }

    internal static byte[] Bytes(ReportKey key, int round)
    {
        var random = new SeededRandom(key.Sequence ^ key.Origin.Epoch);
        int length = random.OneIn(6) ? random.Between(3000, 6000) : random.Between(20, 400);
        string text = $"{key} in round {round} ";
        return Encoding.UTF8.GetBytes(text + new string('x', length));
    }

    private ReadOnlyMemory<byte> Noted(OwnReportEncoder encoder, ReportKey key, List<RawReport> written)
    {
        ReadOnlyMemory<byte> bytes = encoder(key);
        Oracle.Offer([written[^1]]);
        return bytes;
    }

    /// <summary>Some reports that follow, and the last one again, as after a cut exchange.</summary>
    private static IEnumerable<RawReport> Reports(OriginId origin, ulong last, int count)
    {
        for (ulong sequence = Math.Max(1, last); sequence <= last + (ulong)count; sequence++)
        {
            var key = new ReportKey(origin, sequence);
            yield return new RawReport(key, Bytes(key, 0));
        }
    }
}
