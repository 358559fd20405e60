using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Sync;
using NodaTime;

namespace KitMesh.Simulation;

/// <summary>One hub is not honest: it invents reports of the station that prove copies which nobody made, and seals for them.</summary>
/// <remarks>
/// An invention goes over a sequence that the station has used, or ahead of it; then the station's own report makes a fork. Its
/// seals carry the right chain hash under a signature of the forger's own key, for the station's it does not have.
/// </remarks>
internal sealed class Forger(World world, SimulatedNode hub, SimulatedNode station)
{
    private const int Times = 6;

    internal void Schedule()
    {
        for (int i = 0; i < Times; i++)
        {
            world.Queue.After(Duration.FromMilliseconds(world.Random.Below(world.Plan.Seconds * 1000)), Forge);
        }
    }

    private void Forge()
    {
        if (!hub.IsUp)
        {
            return;
        }

        OriginHolding[] known = [.. hub.Journal.Have().Where(holding => holding.Origin.Node == station.Node && !holding.Ranges.IsEmpty)];
        if (known.Length == 0)
        {
            return;
        }

        OriginHolding of = known[world.Random.Below(known.Length)];
        (ulong last, Sha256Hash chain) = (of.Ranges.Last, of.ChainHash);
        ulong sequence = world.Random.OneIn(3) ? last - Math.Min(last - 1, (ulong)world.Random.Below(10)) : last + 1;
        bool goesOn = sequence == of.ChainSequence + 1;
        var forged = new List<RawReport>();
        foreach (ReportBody body in Bodies())
        {
            RawReport report = Encode(new ReportKey(of.Origin, sequence++), body);
            chain = ReportChain.Next(chain, report.Key.Sequence, report.Bytes.Span);
            forged.Add(report);
        }

        if (goesOn)
        {
            byte[] signature = PlainSealKeys.SignerOf(hub.Node).Sign(SealMessage.Of(of.Origin, sequence - 1, chain));
            forged.Add(Encode(new ReportKey(of.Origin, sequence), new OriginSealed(sequence - 1, chain, ValueList.Create<byte>(signature))));
        }

        world.Trace.Note(world.Now, "forged", hub.Name, forged.Count);
        hub.TakeIn(forged);
    }

    private IEnumerable<ReportBody> Bodies()
    {
        (KitId card, IReadOnlyList<ClipHash> clips) = world.Releases.Draw(world.Random);
        yield return new CardSeen(card, Station.VisitOf(card), Station.Camera, ByteCount.FromGigabytes(64), ByteCount.FromGigabytes(clips.Count), clips.Count);
        foreach (ClipHash clip in clips)
        {
            yield return new ClipFound(clip, card, Station.VisitOf(card), Station.PathOf(clip), Station.Size(clip), Station.Camera, null, null, null);
            for (int drive = 1; drive <= 2; drive++)
            {
                yield return new CopyVerified(clip, Station.DriveId(drive), Station.PathOf(clip), Station.Size(clip), ReadBackLevel.Direct, false);
            }
        }
    }

    private RawReport Encode(ReportKey key, ReportBody body)
    {
        HybridTime hybrid = hub.NextHybrid();
        DeviceTime device = hub.Moment().Device;
        var report = new RawReport(key, ReportCodec.Encode(hybrid, device, body));
        Sha256Hash content = world.Contents.Of(report);
        world.Promises.Wrote(key, content);
        world.Releases.Forged(new Report(key, hybrid, device, body), content);
        return report;
    }
}
