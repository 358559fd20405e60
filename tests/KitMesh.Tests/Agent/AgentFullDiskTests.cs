using KitMesh.Domain.Reports;
using KitMesh.TestKit.Agent;
using KitMesh.TestKit.Alerts;
using KitMesh.TestKit.Devices;
using KitMesh.TestKit.Offload;

namespace KitMesh.Tests.Agent;

/// <summary>An agent whose journal stands on a file system that is really full.</summary>
public sealed class AgentFullDiskTests
{
    [Fact]
    public async Task FullDisk_IsSaid_GuardGoesOn_AndWritingToo()
    {
        using LoopDrive? drive = LoopDrive.Make("tmpfs", 2, out string why);
        if (drive is null)
        {
            Assert.Skip($"A small file system {why}.");
        }

        var reader = new ScriptedReader();
        string data = Path.Combine(drive.Folder, "agent");
        await using AgentBench bench = await AgentBench.StartAsync(AgentBench.Options(data, reader, packs: [PackScene.Pack()]), reader);
        reader.Read(PackScene.Reading(volts: 13.2, amperes: 0, probes: 9));
        await AgentBench.UntilAsync(() => Later(bench).Journalled<BatteryReading>().Count == 1);
        string filler = Fill(drive.Folder);

        // Far more readings than the queue of 64 holds, each outside the deadbands; the last ones are dangerous.
        for (int i = 0; i < 300; i++)
        {
            reader.Read(PackScene.Reading(volts: 12 + (i % 2), amperes: 0, probes: 9));
        }

        await AgentBench.UntilAsync(() => Later(bench).Said.Any(words => words.Contains("Make room", StringComparison.Ordinal)));
        reader.Read(PackScene.Reading(volts: 13.4, amperes: 6, probes: -2));
        await AgentBench.UntilAsync(() => bench.Said.Any(words => words.StartsWith("ALERT charging-too-cold", StringComparison.Ordinal)));

        int before = bench.Journalled<BatteryReading>().Count;
        Assert.Empty(bench.Journalled<AlertChanged>());

        File.Delete(filler);
        await AgentBench.UntilAsync(() => Later(bench).Journalled<AlertChanged>().Count > 0);
        Assert.True(bench.Journalled<BatteryReading>().Count > before);
        Assert.Contains(bench.Said, words => words.StartsWith("The disk takes reports again.", StringComparison.Ordinal));
    }

    /// <summary>What waits for company has waited long enough.</summary>
    private static AgentBench Later(AgentBench bench)
    {
        bench.Pace.Advance(TimeSpan.FromMinutes(1));
        return bench;
    }

    /// <summary>Takes all the room that is left.</summary>
    private static string Fill(string folder)
    {
        string path = Path.Combine(folder, "filler");
        using FileStream file = File.Create(path, bufferSize: 1);
        byte[] piece = new byte[4096];
        try
        {
            while (true)
            {
                file.Write(piece);
                file.Flush();
            }
        }
        catch (IOException)
        {
            return path;
        }
    }
}
