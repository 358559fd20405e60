using System.Collections.Immutable;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Seals;

/// <summary>What all seals together attest: the same on every hub that holds the same reports, but for what a hub took from the writer itself.</summary>
public sealed class SealStanding
{
    /// <summary>Nothing is sealed.</summary>
    public static readonly SealStanding Nothing = new(ImmutableDictionary<OriginId, Attested>.Empty, []);

    private readonly ImmutableDictionary<OriginId, Attested> _origins;

    internal SealStanding(ImmutableDictionary<OriginId, Attested> origins, IReadOnlyList<SealFault> faults)
    {
        _origins = origins;
        Faults = faults;
    }

    /// <summary>What does not fit, by origin.</summary>
    public IReadOnlyList<SealFault> Faults { get; }

    /// <summary>What of an origin its seals attest; forked sequences are in it and prove nothing.</summary>
    /// <param name="origin">The origin.</param>
    public SequenceRanges SealedOf(OriginId origin) => _origins.GetValueOrDefault(origin, Attested.Nothing).Sealed;

    /// <summary>Whether a seal of the writer attests a report.</summary>
    /// <param name="report">The report.</param>
    public bool IsSealed(ReportKey report) => _origins.TryGetValue(report.Origin, out Attested? origin) && origin.IsSealed(report.Sequence);

    /// <summary>Whether a report is certainly of its writer: sealed, or taken from the writer itself.</summary>
    /// <param name="report">The report.</param>
    public bool IsAttested(ReportKey report) => _origins.TryGetValue(report.Origin, out Attested? origin) && origin.Holds(report.Sequence);
}
