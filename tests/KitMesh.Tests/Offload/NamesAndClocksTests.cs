using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;
using KitMesh.TestKit.Offload;
using NodaTime;

namespace KitMesh.Tests.Offload;

/// <summary>Unicode forms of one name (Unicode Standard Annex 15) and clocks that jump.</summary>
public sealed class NamesAndClocksTests : IDisposable
{
    private readonly OffloadStage _stage = new();
    private readonly List<LoopDrive> _loops = [];

    public void Dispose()
    {
        _loops.ForEach(loop => loop.Dispose());
        _stage.Dispose();
    }

    [Theory]
    [InlineData(null)]
    [InlineData("exfat")]
    public void Run_NamesThatDifferOnlyInUnicodeForm_AreBothKept(string? type)
    {
        // Annex 15, "Canonical Composites": one and the same to a reader, other bytes to a file system.
        // U+00FC is u with U+0308, U+00C5 is A with U+030A.
        const string Composed = "Gr\u00fcner See \u00c5.mov";
        const string Decomposed = "Gru\u0308ner See A\u030a.mov";
        if (type is not null)
        {
            if (LoopDrive.Make(type, 64, out string why) is not { } drive)
            {
                Assert.Skip($"no {type} on this machine: {why}");
                return;
            }

            _loops.Add(drive);
            _stage.Drives[1] = drive.Folder;
        }

        _stage.Put($"DCIM/{Composed}", 5000, 1);
        _stage.Put($"DCIM/{Decomposed}", 5000, 2);

        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat, string.Join("; ", outcome.Verdict().Reasons));
        Assert.Equal(2, outcome.Clips.Select(clip => clip.Clip).Distinct().Count());
        Assert.All(_stage.Drives, drive => Assert.Equal(
            [OffloadStage.Noise(5000, 1), OffloadStage.Noise(5000, 2)],
            OffloadStage.FilesOf(drive).Values.OrderBy(bytes => bytes.AsSpan().SequenceEqual(OffloadStage.Noise(5000, 2)))));
        OffloadOutcome again = _stage.Run();
        Assert.All(again.Clips.SelectMany(clip => clip.Copies), copy => Assert.Equal(CopyState.VerifiedBefore, copy.State));
    }

    [Fact]
    public void Run_WallClockThatJumpsAllTheTime_ProvesAllAndCopiesNothingAgain()
    {
        for (int i = 0; i < 40; i++)
        {
            _stage.Put($"C{i:00}.mov", 2000 + i, i);
        }

        _stage.Put("large.mov", 9_000_001, 99);
        OffloadOutcome first = Run(new JumpingClock());
        OffloadOutcome again = Run(new JumpingClock());
        OffloadOutcome later = Run(SystemClock.Instance);

        Assert.All([first, again, later], outcome => Assert.True(outcome.Verdict().MayFormat, string.Join("; ", outcome.Verdict().Reasons)));
        Assert.All(first.Clips.SelectMany(clip => clip.Copies), copy => Assert.Equal(CopyState.Verified, copy.State));
        Assert.All(again.Clips.Concat(later.Clips).SelectMany(clip => clip.Copies), copy => Assert.Equal(CopyState.VerifiedBefore, copy.State));
        Assert.All(_stage.Drives, drive => Assert.Equal(41, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public void Run_CardWhoseTimesJump_IsSteadyAndLiesInTheDaysThatItTells()
    {
        // A camera's dead clock: before 1970, in FAT's first year, after 2038.
        foreach ((string name, int year, int seed) in (ReadOnlySpan<(string, int, int)>)[("a.mov", 1969, 1), ("b.mov", 1980, 2), ("c.mov", 2040, 3)])
        {
            File.SetLastWriteTimeUtc(_stage.Put(name, 4000, seed), new DateTime(year, 1, 1, 0, 0, 1, DateTimeKind.Utc));
        }

        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat, string.Join("; ", outcome.Verdict().Reasons));
        Assert.Equal(["1969-01-01", "1980-01-01", "2040-01-01"], OffloadStage.FilesOf(_stage.Drives[0]).Keys.Select(path => path.Split('/')[0]).Order());
        Assert.All(_stage.Run().Clips.SelectMany(clip => clip.Copies), copy => Assert.Equal(CopyState.VerifiedBefore, copy.State));
    }

    private OffloadOutcome Run(IClock clock) => Assert.IsType<OffloadResult.Ran>(
        new OffloadEngine(clock, TimeProvider.System, Ids()).Run(_stage.Request(), static _ => { }, new OffloadProgress(), CancellationToken.None)).Outcome;

    private static Func<ulong> Ids()
    {
        ulong next = 0x5000;
        return () => next++;
    }

    /// <summary>Shows another century with each look.</summary>
    private sealed class JumpingClock : IClock
    {
        private static readonly Instant[] Times = [Instant.FromUtc(1980, 1, 1, 0, 0), Instant.FromUtc(2099, 12, 31, 23, 59), Instant.FromUtc(2026, 2, 11, 16, 0), Instant.FromUnixTimeSeconds(0)];
        private int _looks;

        public Instant GetCurrentInstant() => Times[(uint)Interlocked.Increment(ref _looks) % Times.Length];
    }
}
