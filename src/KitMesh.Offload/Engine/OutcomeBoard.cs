using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Cards;

namespace KitMesh.Offload.Engine;

/// <summary>Where the lanes write what became of each copy. Each cell has one writer at a time.</summary>
internal sealed class OutcomeBoard
{
    private readonly IReadOnlyList<CardFile> _files;
    private readonly CopyOutcome[][] _copies;
    private readonly ClipDigest?[] _digests;
    private readonly (CopyFailure Failure, string Detail)?[] _cardFaults;
    private readonly string?[] _damage;

    public OutcomeBoard(IReadOnlyList<CardFile> files, IReadOnlyList<string> places, IReadOnlyList<KitId> drives)
    {
        _files = files;
        _copies = [.. places.Select(place => drives.Select(drive => new CopyOutcome(drive, CopyState.NotMade, place)).ToArray())];
        _digests = new ClipDigest?[files.Count];
        _cardFaults = new (CopyFailure, string)?[files.Count];
        _damage = new string?[files.Count];
    }

    /// <summary>How many files there are.</summary>
    public int Clips => _files.Count;

    /// <summary>A cell.</summary>
    /// <param name="clip">The file's number.</param>
    /// <param name="drive">The drive's number.</param>
    public CopyOutcome this[int clip, int drive]
    {
        get => Volatile.Read(ref _copies[clip][drive]);
        set => Volatile.Write(ref _copies[clip][drive], value);
    }

    /// <summary>Notes what the read of a file gave.</summary>
    /// <param name="clip">The file's number.</param>
    /// <param name="digest">The digest.</param>
    /// <returns>False when it was known before.</returns>
    public bool TryKnow(int clip, ClipDigest digest) => Interlocked.CompareExchange(ref _digests[clip], digest, null) is null;

    /// <summary>Notes what is wrong with a file on the card.</summary>
    /// <param name="clip">The file's number.</param>
    /// <param name="failure">What.</param>
    /// <param name="detail">What the system said.</param>
    public void Blame(int clip, CopyFailure failure, string detail) => _cardFaults[clip] = (failure, detail);

    /// <summary>Notes what is wrong with a file's structure.</summary>
    /// <param name="clip">The file's number.</param>
    /// <param name="damage">What.</param>
    public void Damaged(int clip, string? damage) => _damage[clip] = damage;

    /// <summary>Everything, once all lanes have ended.</summary>
    public ValueList<ClipOutcome> ToOutcomes() => _files.Select((file, i) => new ClipOutcome(
        file.Shown,
        new ByteCount(file.Size),
        _digests[i]?.Clip,
        _digests[i]?.Others ?? [],
        _copies[i].ToValueList(),
        _cardFaults[i]?.Failure,
        _cardFaults[i]?.Detail,
        _damage[i])).ToValueList();
}
