using System.Diagnostics;
using System.Text.Json;
using KitMesh.TestKit.Offload;

namespace KitMesh.EndToEnd.Tests.Offload;

/// <summary><c>kitmesh offload</c> and <c>kitmesh recheck</c> on real files.</summary>
public sealed class OffloadCommandTests : IDisposable
{
    private const int UsualRounds = 100;
    private const int Files = 2000;

    private readonly OffloadStage _stage = new();

    public void Dispose() => _stage.Dispose();

    [Fact]
    public void Offload_TwoThousandFilesKilledAHundredTimes_EndsWithThreeProofsEachAndNoneTwice()
    {
        for (int i = 0; i < Files; i++)
        {
            // Mostly small, some of a few megabytes, some empty.
            string extension = i % 50 == 0 ? "XML" : "MP4";
            _stage.Put($"DCIM/{100 + (i / 500)}KIT/C{i:0000}.{extension}", i % 97 == 0 ? 3_000_000 : i % 50 == 0 ? 0 : 500 + (i * 37 % 40_000), i);
        }

        // The moments of the kills come from one seed, so that a failing row can be run again: KITMESH_KILL_ROUNDS for more
        // or fewer, KITMESH_KILL_SEED for others.
        int rounds = FromEnvironment("KITMESH_KILL_ROUNDS", UsualRounds);
        var random = new Random(FromEnvironment("KITMESH_KILL_SEED", 20260211));
        int killed = 0;
        int finished = 0;
        for (int round = 0; round < rounds; round++)
        {
            using Process process = OffloadProgram.Start(Words("--json"));
            _ = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);

            // However slow the machine starts it: the moment counts from the first line, when the work begins.
            Assert.NotNull(process.StandardOutput.ReadLine());
            _ = process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
            if (process.WaitForExit(random.Next(5, 500)))
            {
                finished++;
                continue;
            }

            process.Kill();
            process.WaitForExit();
            killed++;
        }

        (int exit, string output, string error) = OffloadProgram.Run(Words("--json"));

        Assert.True(exit == 0, error + string.Join('\n', output.TrimEnd().Split('\n')[^1]));
        JsonElement verdict = OffloadProgram.LastLine(output);
        Assert.Equal("card_verdict", verdict.GetProperty("kind").GetString());
        Assert.True(verdict.GetProperty("mayFormat").GetBoolean());
        Assert.Equal(Files, verdict.GetProperty("clips").GetInt32());
        Assert.Equal(Files * 3, verdict.GetProperty("copiesVerified").GetInt32());
        foreach (string drive in _stage.Drives)
        {
            IReadOnlyDictionary<string, byte[]> files = OffloadStage.FilesOf(drive);
            Assert.Equal(Files, files.Count);
            Assert.Empty(OffloadStage.PartialsOf(drive));
            Assert.DoesNotContain(files.Keys, key => key.Contains('~', StringComparison.Ordinal));
            Assert.Equal(Files, ListedPaths(drive).Distinct().Count());
            foreach ((string path, byte[] bytes) in files)
            {
                Assert.Equal(File.ReadAllBytes(Path.Combine(_stage.Card, path[(path.IndexOf("DCIM", StringComparison.Ordinal))..])), bytes);
            }
        }

        Console.WriteLine($"Offload of {Files} files: {killed} of {rounds} runs killed, {finished} finished before; every clip ends with 3 proofs, none twice.");
        TestContext.Current.SendDiagnosticMessage($"{killed} of {rounds} runs were killed, {finished} had finished before.");
        Assert.True(killed >= rounds / 2, $"only {killed} runs were killed in time");
    }

    [Fact]
    public void Offload_Hashes_AreThoseOfXxhsumAndSha256sum()
    {
        _stage.Put("DCIM/a.mov", 5_000_001, 1);
        _stage.Put("DCIM/empty.txt", 0, 2);
        _stage.Put("b.wav", 4096, 3);

        (int exit, string output, string error) = OffloadProgram.Run(Words("--json", "--hash", "sha256", "--hash", "md5", "--hash", "xxh64"));

        Assert.True(exit == 0, error);
        foreach (JsonElement clip in OffloadProgram.LastLine(output).GetProperty("clip").EnumerateArray())
        {
            string file = Path.Combine(_stage.Card, clip.GetProperty("path").GetString()!);
            JsonElement hashes = clip.GetProperty("hashes");
            Assert.Equal(Sum("sha256sum", file), hashes.GetProperty("sha256").GetString());
            Assert.Equal(Sum("md5sum", file), hashes.GetProperty("md5").GetString());
            Assert.Equal(Sum("xxhsum", "-H2", file), clip.GetProperty("xxh128").GetString());
            Assert.Equal(Sum("xxhsum", "-H1", file), hashes.GetProperty("xxh64").GetString());
        }
    }

    [Fact]
    public void Offload_Manifests_AreAcceptedByAnotherValidator()
    {
        if (OffloadProgram.Other("xmllint", "--version") is null)
        {
            Assert.Skip("xmllint is not installed");
        }

        _stage.Put("DCIM/a & b <ü>.mov", 1000, 1);
        Assert.Equal(0, OffloadProgram.Run(Words("--hash", "c4", "--hash", "md5", "--hash", "sha1", "--hash", "xxh64")).Exit);

        string schemas = Path.Combine(Root(), "tests/KitMesh.Tests/Published");
        foreach (string drive in _stage.Drives)
        {
            string manifest = Directory.GetFiles(Path.Combine(drive, "ascmhl"), "0001_*Z.mhl").Single();
            Assert.NotNull(OffloadProgram.Other("xmllint", "--noout", "--schema", Path.Combine(schemas, "ascmhl-appendix-a.xsd"), manifest));
            Assert.NotNull(OffloadProgram.Other("xmllint", "--noout", "--schema", Path.Combine(schemas, "ascmhl-reference.xsd"), manifest));
            Assert.NotNull(OffloadProgram.Other("xmllint", "--noout", "--schema", Path.Combine(schemas, "ascmhl-chain.xsd"), Path.Combine(drive, "ascmhl/ascmhl_chain.xml")));
        }
    }

    [Fact]
    public void Offload_OfALargeFile_StaysWithinItsMemory()
    {
        const long MostBytes = 128L << 20;
        _stage.Put("big.mov", 300_000_000, 1);
        using Process process = OffloadProgram.Start(Words("--json"));
        _ = process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        _ = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        string status = $"/proc/{process.Id}/status";
        long peak = 0;
        while (!process.WaitForExit(20))
        {
            peak = Math.Max(peak, PeakBytes(status));
        }

        Assert.Equal(0, process.ExitCode);
        TestContext.Current.SendDiagnosticMessage($"peak resident memory {peak / 1e6:0} MB");
        Assert.InRange(peak, 1, MostBytes);
    }

    [Fact]
    public void Offload_MissingDrive_ExitsTwoAndWritesNothing()
    {
        _stage.Put("a.mov", 1000, 1);
        _stage.Drives[2] = Path.Combine(_stage.Root, "not plugged in");

        (int exit, _, string error) = OffloadProgram.Run(Words());

        Assert.Equal(2, exit);
        Assert.Contains("plugged in", error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(_stage.Drives[2]));
        Assert.Empty(OffloadStage.FilesOf(_stage.Drives[0]));
    }

    [Theory]
    [InlineData("3900 m", "--altitude", "3900", "--max-altitude", "3050")]
    [InlineData("closed bag", "--air", "-12", "--min-temperature", "5")]
    [InlineData("takes a number", "--altitude", "high")]
    public void Offload_WhereADriveMayNotRun_ExitsTwoSaysWhyAndWritesNothing(string words, params string[] options)
    {
        _stage.Put("a.mov", 1000, 1);

        (int exit, _, string error) = OffloadProgram.Run(Words(options));

        Assert.Equal(2, exit);
        Assert.Contains(words, error, StringComparison.Ordinal);
        Assert.All(_stage.Drives, drive => Assert.Empty(Directory.GetFileSystemEntries(drive)));
    }

    [Fact]
    public void Offload_FileThatMayNotBeRead_ExitsOneNamesItAndSavesTheRest()
    {
        if (OffloadProgram.Other("setpriv", "--version") is null || Environment.UserName != "root")
        {
            Assert.Skip("needs root and setpriv to run without rights");
        }

        _stage.Put("good.mov", 1000, 1);
        string locked = _stage.Put("locked.mov", 1000, 2);
        Assert.NotNull(OffloadProgram.Other("chmod", "-R", "a+rwX", _stage.Root));
        Assert.NotNull(OffloadProgram.Other("chmod", "000", locked));
        string[] nobody = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups", "--inh-caps=-all"];
        if (OffloadProgram.Other(nobody[0], [.. nobody[1..], OffloadProgram.Executable, "offload", "--help"]) is null)
        {
            Assert.Skip("the executable lies where nobody but root may read");
        }

        (int exit, string output, string error) = OffloadProgram.Run(Words("--json"), new Dictionary<string, string> { ["HOME"] = _stage.Root }, nobody);

        Assert.True(exit == 1, error);
        JsonElement verdict = OffloadProgram.LastLine(output);
        Assert.False(verdict.GetProperty("mayFormat").GetBoolean());
        JsonElement bad = verdict.GetProperty("clip").EnumerateArray().Single(clip => clip.GetProperty("path").GetString() == "locked.mov");
        Assert.Equal("cardUnreadable", bad.GetProperty("failure").GetString());
        Assert.All(_stage.Drives, drive => Assert.Single(OffloadStage.FilesOf(drive)));
    }

    [Fact]
    public void Offload_ForAPerson_SaysFirstWhetherTheCardMayBeFormatted()
    {
        _stage.Put("a.mov", 1000, 1);

        (int exit, string output, _) = OffloadProgram.Run(Words());

        Assert.Equal(0, exit);
        Assert.StartsWith("Card card MAY BE FORMATTED", output, StringComparison.Ordinal);
        Assert.DoesNotContain('\u001b', output);
    }

    [Fact]
    public void Recheck_RottenCopy_IsFoundAndMendedOnlyOnDemand()
    {
        _stage.Put("a.mov", 100_000, 1);
        _stage.Put("b.mov", 1000, 2);
        Assert.Equal(0, OffloadProgram.Run(Words()).Exit);
        string rotten = Directory.EnumerateFiles(_stage.Drives[1], "a.mov", SearchOption.AllDirectories).Single();
        using (FileStream file = File.OpenWrite(rotten))
        {
            file.Seek(50_000, SeekOrigin.Begin);
            file.WriteByte(0xFF);
            file.WriteByte(0x00);
        }

        Assert.Equal(0, OffloadProgram.Run(["recheck", _stage.Drives[0]]).Exit);
        (int found, string output, _) = OffloadProgram.Run(["recheck", _stage.Drives[0], _stage.Drives[1], "--json"]);
        Assert.Equal(1, found);
        Assert.Equal(1, OffloadProgram.LastLine(output).GetProperty("bad").GetInt32());
        Assert.False(File.Exists(rotten));

        // The next offload sees that the copy is gone from the list, and makes it anew.
        Assert.Equal(0, OffloadProgram.Run(Words()).Exit);
        Assert.Equal(OffloadStage.Noise(100_000, 1), File.ReadAllBytes(rotten));

        File.WriteAllBytes(rotten, [1, 2, 3]);
        (int mended, output, _) = OffloadProgram.Run(["recheck", _stage.Drives[1], "--repair-from", _stage.Drives[2], "--json"]);
        Assert.Equal(0, mended);
        Assert.Contains("\"repaired\":true", output, StringComparison.Ordinal);
        Assert.Equal(OffloadStage.Noise(100_000, 1), File.ReadAllBytes(rotten));
    }

    [Fact]
    public void Offload_FileLargerThanAFileSystemTakes_ExitsOneSaysSoAndSavesTheRest()
    {
        if (OffloadProgram.Other("/bin/sh", "-c", "ulimit -f 2048") is null)
        {
            Assert.Skip("no shell that limits the size of files");
        }

        // FAT32 ends at 4 GiB (Microsoft, FAT32 File System Specification 1.03); where no kernel driver for it is, a limit of
        // the process makes the kernel refuse in the same way, with EFBIG: 2,048 blocks of 512 bytes.
        _stage.Put("DCIM/large.mov", 9_000_000, 1);
        _stage.Put("DCIM/small.mov", 30_000, 2);
        string[] limited = ["/bin/sh", "-c", "trap '' XFSZ; ulimit -f 2048; exec \"$@\"", "sh"];

        (int exit, string output, string error) = OffloadProgram.Run(Words("--json"), new Dictionary<string, string> { ["DOTNET_EnableWriteXorExecute"] = "0" }, limited);

        Assert.True(exit == 1, $"exit {exit}: {error}{output}");
        JsonElement[] clips = [.. OffloadProgram.LastLine(output).GetProperty("clip").EnumerateArray()];
        foreach (JsonElement copy in clips[0].GetProperty("copies").EnumerateArray())
        {
            Assert.Equal("writeFailed", copy.GetProperty("failure").GetString());
            Assert.Contains("no file of 4 GiB", copy.GetProperty("detail").GetString(), StringComparison.Ordinal);
        }

        Assert.All(clips[1].GetProperty("copies").EnumerateArray(), copy => Assert.Equal("verified", copy.GetProperty("state").GetString()));
        Assert.All(_stage.Drives, drive => Assert.Empty(OffloadStage.PartialsOf(drive)));
    }

    [Fact]
    public void Offload_WithAWattmeter_LeavesTheCostOnEachDriveAndRecheckUsesIt()
    {
        _stage.Put("a.mov", 60_000_000, 1);

        (int exit, _, string error) = OffloadProgram.Run(Words("--watts", "26", "--idle-watts", "6"));

        Assert.True(exit == 0, error);
        Assert.Contains("J/GB", error, StringComparison.Ordinal);
        (exit, string output, _) = OffloadProgram.Run(["recheck", _stage.Drives[0], "--json", "--energy", "0.001"]);
        Assert.Equal(0, exit);
        Assert.Contains("\"joulesPerGb\":", output, StringComparison.Ordinal);
        (exit, _, error) = OffloadProgram.Run(Words("--watts", "6", "--idle-watts", "26"));
        Assert.Equal(2, exit);
        Assert.Contains("--idle-watts", error, StringComparison.Ordinal);
    }

    [Fact]
    public void Recheck_OneOfTwoDrivesRefused_StillTellsOfTheOther()
    {
        _stage.Put("a.mov", 1000, 1);
        Assert.Equal(0, OffloadProgram.Run(Words()).Exit);

        (int exit, string output, string error) = OffloadProgram.Run(["recheck", _stage.Drives[0], _stage.Card, "--json"]);

        Assert.True(exit == 1, error);
        JsonElement verdict = OffloadProgram.LastLine(output);
        Assert.Equal(1, verdict.GetProperty("good").GetInt32());
        JsonElement refused = verdict.GetProperty("refused").EnumerateArray().Single();
        Assert.Equal(_stage.Card, refused.GetProperty("drive").GetString());
        Assert.Contains("is no drive of copies", refused.GetProperty("why").GetString(), StringComparison.Ordinal);

        (exit, output, _) = OffloadProgram.Run(["recheck", _stage.Drives[0], _stage.Card]);
        Assert.Equal(1, exit);
        Assert.Contains("its one copy is good", output, StringComparison.Ordinal);
        Assert.Contains($"{_stage.Card}: not read", output, StringComparison.Ordinal);
        Assert.Equal(2, OffloadProgram.Run(["recheck", _stage.Card]).Exit);
    }

    [Fact]
    public void Offload_OnATerminal_ShowsTheCardAndEachDriveWithRateAndTimeLeft()
    {
        for (int i = 0; i < 6; i++)
        {
            _stage.Put($"DCIM/C{i}.mov", 40_000_000, i);
        }

        // script(1), of util-linux, gives the program a terminal.
        string words = string.Join(' ', Words().Select(word => $"'{word}'"));
        if (OffloadProgram.Other("/bin/sh", "-c", "script --version") is null)
        {
            Assert.Skip("no script(1) here to make a terminal with");
        }

        string shown = OffloadProgram.Other("/bin/sh", "-c", $"TERM=xterm COLUMNS=120 script -qec \"stty cols 120; {OffloadProgram.Executable} {words}\" /dev/null")!;

        Assert.Matches("card  DCIM/C[0-5].mov", shown);
        Assert.All(_stage.Drives, drive => Assert.Matches($@"{Path.GetFileName(drive)}  [0-9.,]+ [kMG]?B/s, [0-9]+:[0-9]{{2}}:[0-9]{{2}} left", shown));
        Assert.Contains("Card card MAY BE FORMATTED", shown, StringComparison.Ordinal);
    }

    [Fact]
    public void Recheck_UnpoweredWhereTheDriveStayedAttached_ExitsTwo()
    {
        _stage.Put("a.mov", 1000, 1);
        Assert.Equal(0, OffloadProgram.Run(Words()).Exit);

        (int exit, _, string error) = OffloadProgram.Run(["recheck", _stage.Drives[0], "--unpowered"]);

        Assert.Equal(2, exit);
        Assert.Contains("unplug it", error, StringComparison.Ordinal);
    }

    private static int FromEnvironment(string name, int otherwise) =>
        int.TryParse(Environment.GetEnvironmentVariable(name), System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out int number) ? number : otherwise;

    private IEnumerable<string> Words(params string[] more) =>
        ["offload", "--from", _stage.Card, .. _stage.Drives.SelectMany(drive => new[] { "--to", drive }), .. more];

    private static IEnumerable<string> ListedPaths(string drive) => File
        .ReadLines(Path.Combine(drive, ".kitmesh/copies"))
        .Where(line => line.Length > 17)
        .Select(line => JsonDocument.Parse(line[17..]).RootElement.GetProperty("path").GetString()!);

    private static string Root()
    {
        string folder = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(folder, "KitMesh.sln")))
        {
            folder = Path.GetDirectoryName(folder)!;
        }

        return folder;
    }

    // The highest resident set so far, as the kernel counts it; 0 when the process has just ended.
    private static long PeakBytes(string status)
    {
        try
        {
            string line = File.ReadLines(status).First(text => text.StartsWith("VmHWM", StringComparison.Ordinal));
            return long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[1], System.Globalization.CultureInfo.InvariantCulture) * 1024;
        }
        catch (Exception gone) when (gone is IOException or InvalidOperationException)
        {
            return 0;
        }
    }

    private static string Sum(string program, params string[] words)
    {
        if (OffloadProgram.Other(program, words) is not { } output)
        {
            Assert.Skip($"{program} is not installed");
            return "";
        }

        return output.Split(' ')[0].TrimStart('\\');
    }
}
