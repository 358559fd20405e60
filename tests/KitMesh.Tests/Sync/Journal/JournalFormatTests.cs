using System.Text;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Journal.Format;
using KitMesh.TestKit.Disk;
using KitMesh.Tests.Architecture;
using NodaTime;
using JournalCore = KitMesh.Sync.Journal.Journal;

namespace KitMesh.Tests.Sync.Journal;

/// <summary>The bytes on disk are those that docs/journal-format.md tells, for ever.</summary>
public sealed class JournalFormatTests
{
    [Fact]
    public void Segment_OfTheWorkedExample_HasTheDocumentedBytes()
    {
        byte[] segment = WorkedExample();
        string page = File.ReadAllText(SourceTree.PathTo("docs", "journal-format.md"));
        string[] hex = [.. page.Split("```hex")[1].Split("```")[0].Split('\n').Select(line => line.Split('|')[0].Trim()).Where(line => line.Length > 0)];

        Assert.Equal(Convert.ToHexStringLower(segment), string.Concat(hex).Replace(" ", "", StringComparison.Ordinal));
    }

    [Fact]
    public void Segment_OfTheWorkedExample_IsReadBack()
    {
        var disk = new SimulatedDisk(1);
        disk.CreateDirectory("/journal");
        disk.Put("/journal/0000000001.kmj", WorkedExample());
        JournalCore journal = Open(disk);

        JournalEntry[] entries = [.. journal.Replay(JournalPosition.Start)];
        Assert.Equal(["first", "second"], entries.Select(entry => Encoding.ASCII.GetString(entry.Report.Bytes.Span)));
        Assert.All(entries, entry => Assert.Equal(Instant.FromUtc(2027, 2, 1, 6, 0), entry.Arrival));
        Assert.Equal(new OriginId(NodeId.Parse("ridge-hub"), 0x1122334455667788), journal.Own);
        Assert.Equal(0x0102030405060708UL, journal.JournalId);
    }

    private static byte[] WorkedExample()
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        var station = new OriginId(NodeId.Parse("station-1"), 0xA1);
        journal.Append(
            [new RawReport(new ReportKey(station, 1), "first"u8.ToArray()), new RawReport(new ReportKey(station, 2), "second"u8.ToArray())],
            Instant.FromUtc(2027, 2, 1, 6, 0));
        return disk.Bytes("/journal/0000000001.kmj");
    }

    private static JournalCore Open(SimulatedDisk disk)
    {
        var options = new JournalOptions { Folder = "/journal", Node = NodeId.Parse("ridge-hub") };
        return Assert.IsType<JournalOpening.Opened>(JournalCore.Open(disk, options, 0x0102030405060708, 0x1122334455667788)).Journal;
    }
}
