using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Storage.LiteDb;
using KitMesh.Sync.Journal;
using Microsoft.Win32.SafeHandles;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>What the bare disk and the bare database do with the same batches of the same bytes.</summary>
internal static class IngestFloor
{
    /// <summary>Batches that go first, so that what is measured is compiled code.</summary>
    private const int WarmBatches = 64;

    /// <summary>Measures both.</summary>
    /// <param name="folder">An empty folder on the disk in question; emptied again.</param>
    /// <param name="loads">The reports.</param>
    /// <param name="batch">Reports of one batch.</param>
    /// <param name="machine">Machine time.</param>
    /// <returns>Seconds of an append and sync of every batch, and of one transaction with a bare segment for every batch.</returns>
    public static (double AppendSync, double LiteDb) Measure(string folder, IngestLoad[] loads, int batch, TimeProvider machine)
    {
        IReadOnlyList<RawReport>[] batches = [.. loads.SelectMany(load => load.Reports.Chunk(batch))];
        AppendSync(Path.Combine(folder, "warm.bin"), batches.AsSpan(0, Math.Min(WarmBatches, batches.Length)));
        RawSegmentInsert.Run(Path.Combine(folder, "warm.db"), batches.Take(WarmBatches));
        long start = machine.GetTimestamp();
        AppendSync(Path.Combine(folder, "raw.bin"), batches);
        double append = machine.GetElapsedTime(start).TotalSeconds;
        start = machine.GetTimestamp();
        RawSegmentInsert.Run(Path.Combine(folder, "raw.db"), batches);
        double insert = machine.GetElapsedTime(start).TotalSeconds;
        foreach (string file in Directory.EnumerateFiles(folder))
        {
            File.Delete(file);
        }

        return (append, insert);
    }

    /// <summary>Closes and seals every segment, as a running hub does in its idle moments: a tiny segment limit makes the next append close the last one.</summary>
    /// <param name="folder">The journal's folder.</param>
    public static void SealAll(string folder)
    {
        var options = new JournalOptions { Folder = folder, Node = NodeId.Parse("bench-hub"), SegmentBytes = 4 << 10 };
        if (Journal.Open(new PhysicalDisk(), options, 1, 2) is not JournalOpening.Opened { Journal: { } journal })
        {
            throw Frame.CommandFault.BadInput("The measured journal cannot be opened again.");
        }

        using (journal)
        {
            for (ulong sequence = 1; sequence <= 2; sequence++)
            {
                journal.Append([new RawReport(new ReportKey(new OriginId(NodeId.Parse("bench-end"), 1), sequence), new byte[8_000])], Instant.FromUnixTimeSeconds(0));
            }

            while (journal.Maintain(Duration.Zero) is { Fault: null, Value: true })
            {
                // One piece a call.
            }
        }
    }

    private static void AppendSync(string file, ReadOnlySpan<IReadOnlyList<RawReport>> batches)
    {
        using SafeFileHandle handle = File.OpenHandle(file, FileMode.CreateNew, FileAccess.Write);
        long at = 0;
        foreach (IReadOnlyList<RawReport> batch in batches)
        {
            RandomAccess.Write(handle, [.. batch.Select(report => report.Bytes)], at);
            RandomAccess.FlushToDisk(handle);
            at += batch.Sum(report => (long)report.Bytes.Length);
        }
    }
}
