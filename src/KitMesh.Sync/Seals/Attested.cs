using KitMesh.Domain.Exchange;

namespace KitMesh.Sync.Seals;

/// <summary>What of one origin is certainly of its writer.</summary>
/// <param name="Sealed">What its seals attest.</param>
/// <param name="Taken">What this hub took from the writer itself.</param>
/// <param name="Forked">Sequences with more than one content: of these nothing is certain.</param>
internal sealed record Attested(SequenceRanges Sealed, SequenceRanges Taken, IReadOnlySet<ulong> Forked)
{
    public static readonly Attested Nothing = new(SequenceRanges.Empty, SequenceRanges.Empty, new HashSet<ulong>());

    public bool IsSealed(ulong sequence) => Sealed.Contains(sequence) && !Forked.Contains(sequence);

    public bool Holds(ulong sequence) => (Sealed.Contains(sequence) || Taken.Contains(sequence)) && !Forked.Contains(sequence);
}
