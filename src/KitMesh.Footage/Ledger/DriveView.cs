using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>One drive label at one moment: where it is and whether it can be told which drive it is.</summary>
/// <remarks>
/// The label is tape; the identity is what the station wrote on the medium. A drive swapped for another with the same
/// label, or reformatted, shows another identity from then on: what was proven on the earlier one is not on this one.
/// </remarks>
internal sealed class DriveView
{
    private readonly LedgerFacts _facts;
    private readonly List<(PackedStamp Stamp, DriveState Fact)> _identified;
    private readonly string? _firstIdentity;
    private readonly bool _alwaysTheSame;
    private readonly (PackedStamp Stamp, CopyFailed Fact)[] _namelessFailures;

    public DriveView(LedgerFacts facts, KitView kit, Moment moment, DriveFacts drive)
    {
        _facts = facts;
        Drive = drive;
        _namelessFailures = [.. drive.NamelessFailures];
        Declared = kit.Find<Drive>(KitKind.Drive, drive.Drive);
        IsWithdrawn = kit.IsWithdrawn(KitKind.Drive, drive.Drive);
        Chain = kit.Chain(drive.Drive);
        foreach (KitId holder in Chain)
        {
            if (kit.IsCase(holder))
            {
                Case = holder;
            }
        }

        Carrier = Case is { } outer
            ? Chain.SkipWhile(holder => holder != outer).Skip(1).Select(holder => (KitId?)holder).FirstOrDefault()
            : Chain.Select(holder => (KitId?)holder).FirstOrDefault();

        List<(PackedStamp Stamp, DriveState Fact)> states = [.. drive.States.Where(state => moment.Heeds(state.Stamp.Ticks))];
        states.Sort((left, right) => facts.Compare(left.Stamp, right.Stamp));
        LastState = Latest(states, moment);
        _identified = [.. states.Where(state => state.Fact.Identity is not null)];
        _firstIdentity = _identified.Count > 0 ? _identified[0].Fact.Identity : null;
        Identity = Latest(_identified, moment)?.Fact.Identity;
        _alwaysTheSame = _identified.TrueForAll(state => state.Fact.Identity == _firstIdentity);
    }

    public DriveFacts Drive { get; }

    public KitId Name => Drive.Drive;

    public Drive? Declared { get; }

    public bool IsWithdrawn { get; }

    /// <summary>Whether it is cleared again and again: what is on it counts for no rule.</summary>
    public bool IsIntermediate => Declared is { Intermediate: true };

    public DriveMedium Medium => Declared?.Medium ?? DriveMedium.Unknown;

    /// <summary>What holds it, from the inside out.</summary>
    public IReadOnlyList<KitId> Chain { get; }

    /// <summary>The outermost declared case around it.</summary>
    public KitId? Case { get; }

    public KitId? Carrier { get; }

    public (PackedStamp Stamp, DriveState Fact)? LastState { get; }

    /// <summary>The identity that the label stands for now.</summary>
    public string? Identity { get; }

    /// <summary>Another label that stands for the same identity, if one does: then neither is proof.</summary>
    public KitId? SharedWith { get; set; }

    /// <summary>Place among all labels in ordinal order: rows come out in it.</summary>
    public int Rank { get; set; }

    /// <summary>Number of <see cref="Case"/> among the cases of the snapshot; -1 without one.</summary>
    public int CaseNumber { get; set; } = -1;

    /// <summary>Why it cannot be told which drive this is; null when it can.</summary>
    public string? Doubt =>
        IsWithdrawn ? $"{Name} has left the trip file"
        : SharedWith is { } other ? $"{Name} and {other} carry one identity ({Identity}): one is a clone or was relabelled; withdraw the old label, or let the station write a new identity, then recheck"
        : null;

    /// <summary>The identity that the label stood for when a report was written.</summary>
    public string? IdentityAt(in PackedStamp stamp)
    {
        string? byTime = null;
        string? byJournal = null;
        foreach ((PackedStamp stateStamp, DriveState fact) in _identified)
        {
            if (stateStamp.Origin == stamp.Origin && stateStamp.Sequence < stamp.Sequence)
            {
                byJournal = fact.Identity;
            }

            if (stateStamp.Ticks <= stamp.Ticks)
            {
                byTime = fact.Identity;
            }
        }

        // The station that wrote the report knows best which drive it had; else whoever saw the label last before.
        return byJournal ?? byTime ?? _firstIdentity;
    }

    /// <summary>Whether what was written of the label then is about the drive that it stands for now.</summary>
    public bool IsSameDrive(in PackedStamp stamp) => _alwaysTheSame || IdentityAt(stamp) == Identity;

    /// <summary>The reports at which the label turned into another drive.</summary>
    public IEnumerable<(PackedStamp Stamp, string From, string To)> Swaps()
    {
        for (int i = 1; i < _identified.Count; i++)
        {
            if (_identified[i].Fact.Identity != _identified[i - 1].Fact.Identity)
            {
                yield return (_identified[i].Stamp, _identified[i - 1].Fact.Identity!, _identified[i].Fact.Identity!);
            }
        }
    }

    public bool HasNamelessFailures => _namelessFailures.Length > 0;

    /// <summary>Failures of this path that named no clip.</summary>
    public IEnumerable<(PackedStamp Stamp, CopyFailed Fact)> NamelessFailures(string path) =>
        _namelessFailures.Where(failure => failure.Fact.Path == path);

    private static (PackedStamp Stamp, DriveState Fact)? Latest(List<(PackedStamp Stamp, DriveState Fact)> sorted, Moment moment)
    {
        int at = sorted.FindLastIndex(state => moment.Trusts(state.Stamp.Ticks));
        return at >= 0 ? sorted[at] : sorted.Count > 0 ? sorted[^1] : null;
    }
}
