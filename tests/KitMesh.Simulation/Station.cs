using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Simulation.Checkers;
using NodaTime;

namespace KitMesh.Simulation;

/// <summary>One agent is a station: it reads cards, copies clips to drives, reads them back, and says so step by step.</summary>
/// <remarks>
/// The cards are real here: <see cref="ReleaseLedger"/> knows every file on them, told or not, so that it can judge what a
/// hub concludes from the part of the story that reached it. Some copies are never read back, some only through the cache,
/// some turn out bad, at once or later.
/// </remarks>
internal sealed class Station(World world, SimulatedNode agent)
{
    private const int Drives = 3;

    private readonly Queue<ReportBody> _story = new();

    internal void Schedule()
    {
        Declare();
        for (int card = 1; card <= 2; card++)
        {
            TellCard(card);
        }

        Duration pause = Duration.FromSeconds(world.Plan.Seconds) / (_story.Count + 1);
        world.Queue.After(pause, () => Next(pause));
    }

    internal static KitId Camera { get; } = Id("station camera");

    internal static KitId VisitOf(KitId card) => Id($"visit {card.Value[^1]}");

    private static KitId Id(string name) => KitId.Parse(name);

    internal static KitId DriveId(int drive) => Id($"station drive {drive}");

    private void Declare()
    {
        _story.Enqueue(new KitDeclared(new CopyRule(Id("station rule"), ReleaseLedger.RuleCopies, ReleaseLedger.RuleCopies, ReleaseLedger.RuleCopies, null, 21)));
        _story.Enqueue(new KitDeclared(new FootageSource(Camera, Id("station team"), null, 100, 0.2, Id("station rule"))));
        for (int drive = 1; drive <= Drives; drive++)
        {
            _story.Enqueue(new KitDeclared(new Case(Id($"station case {drive}"), null, 0.01)));
            _story.Enqueue(new KitDeclared(new Drive(DriveId(drive), Id($"station case {drive}"), ByteCount.FromGigabytes(1000), DriveMedium.Flash, null, null, 0.02, null)));
        }
    }

    private void TellCard(int number)
    {
        KitId card = Id($"station card {number}");
        KitId visit = VisitOf(card);
        int files = world.Random.Between(1, 3);
        ClipHash[] clips = [.. Enumerable.Range(0, files).Select(_ => new ClipHash(new UInt128(world.Random.Next(), world.Random.Next())))];
        world.Releases.Put(card, clips);
        _story.Enqueue(new CardSeen(card, visit, Camera, ByteCount.FromGigabytes(64), ByteCount.FromGigabytes(files), files));
        foreach (ClipHash clip in clips)
        {
            _story.Enqueue(new ClipFound(clip, card, visit, PathOf(clip), Size(clip), Camera, null, null, null));
            for (int drive = 1; drive <= Drives; drive++)
            {
                TellCopy(clip, DriveId(drive));
            }
        }
    }

    private void TellCopy(ClipHash clip, KitId drive)
    {
        ReportBody verified = new CopyVerified(clip, drive, PathOf(clip), Size(clip), ReadBackLevel.Direct, false);
        ReportBody bad = new CopyFailed(clip, drive, PathOf(clip), CopyFailure.HashDiffers, "as drawn", null);
        _story.Enqueue(new CopyMade(clip, drive, PathOf(clip), Size(clip)));
        switch (world.Random.Below(8))
        {
            case 0:
                break;
            case 1:
                _story.Enqueue(new CopyVerified(clip, drive, PathOf(clip), Size(clip), ReadBackLevel.Cached, false));
                break;
            case 2:
                _story.Enqueue(bad);
                break;
            case 3:
                _story.Enqueue(bad);
                _story.Enqueue(verified);
                break;
            case 4:
                _story.Enqueue(verified);
                _story.Enqueue(bad);
                break;
            default:
                _story.Enqueue(verified);
                break;
        }
    }

    internal static string PathOf(ClipHash clip) => $"clips/{clip}";

    internal static ByteCount Size(ClipHash clip) => new(1_000_000 + (long)(ulong)(clip.Value % 1000));

    /// <summary>A station that is off goes on with its work when it is back.</summary>
    private void Next(Duration pause)
    {
        if (agent.IsUp)
        {
            agent.Write([.. Enumerable.Range(0, Math.Min(_story.Count, world.Random.Between(1, 3))).Select(_ => _story.Dequeue())]);
        }

        if (_story.Count > 0)
        {
            world.Queue.After(pause, () => Next(pause));
        }
    }
}
