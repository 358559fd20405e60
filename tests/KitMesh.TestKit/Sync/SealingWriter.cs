using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using NodaTime;

namespace KitMesh.TestKit.Sync;

/// <summary>Writes reports of one origin with seals among them, in memory.</summary>
public sealed class SealingWriter(OriginId origin, ISealSigner? signer = null)
{
    private readonly List<RawReport> _all = [];
    private Sha256Hash _chain = ReportChain.Seed(origin);

    public OriginId Origin => origin;

    public IReadOnlyList<RawReport> All => _all;

    /// <summary>A writer that goes on from here with the same key: what a disk that was put back does.</summary>
    public SealingWriter Twin()
    {
        var twin = new SealingWriter(origin, signer);
        _all.ForEach(report => twin.Take(report));
        return twin;
    }

    public SealingWriter Note(params string[] texts)
    {
        foreach (string text in texts)
        {
            Write(new Note("crew", null, text));
        }

        return this;
    }

    public SealingWriter Seal()
    {
        ulong last = (ulong)_all.Count;
        Write(new OriginSealed(last, _chain, ValueList.Create<byte>((signer ?? PlainSealKeys.SignerOf(origin.Node)).Sign(SealMessage.Of(origin, last, _chain)))));
        return this;
    }

    public RawReport Write(ReportBody body)
    {
        ulong sequence = (ulong)_all.Count + 1;
        Instant wall = Instant.FromUtc(2027, 2, 14, 18, 0) + Duration.FromSeconds(sequence);
        return Take(Encode(new ReportKey(origin, sequence), body, wall));
    }

    /// <summary>A report of any origin, as a stranger would make it.</summary>
    public static RawReport Encode(ReportKey key, ReportBody body, Instant wall) => new(
        key, ReportCodec.Encode(HybridTime.From(wall.ToUnixTimeMilliseconds(), 0), new DeviceTime(wall, new BootId(1), (long)key.Sequence), body));

    private RawReport Take(RawReport report)
    {
        _all.Add(report);
        _chain = ReportChain.Next(_chain, report.Key.Sequence, report.Bytes.Span);
        return report;
    }
}
