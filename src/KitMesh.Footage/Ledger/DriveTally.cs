using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>Counts one drive's copies while the clips are judged.</summary>
internal sealed class DriveTally(DriveView drive)
{
    private int _proven;
    private int _overdue;
    private int _lost;
    private long _provenSize;
    private long _heldSize;
    private long _sizeSinceSeen;
    private long _oldestProofTicks = long.MaxValue;
    private long _recheckByTicks = long.MaxValue;

    public DriveView Drive => drive;

    /// <param name="copy">The copy.</param>
    /// <param name="ageTicks">How old its proof may become; <see cref="long.MaxValue"/> for no limit.</param>
    public void Add(in CopyJudgement copy, long ageTicks)
    {
        switch (copy.Standing)
        {
            case CopyStanding.Proven:
                _proven++;
                _provenSize += copy.Size;
                _oldestProofTicks = Math.Min(_oldestProofTicks, copy.ProvenTicks);
                _recheckByTicks = ageTicks == long.MaxValue ? _recheckByTicks : Math.Min(_recheckByTicks, copy.ProvenTicks + ageTicks);
                break;
            case CopyStanding.Overdue:
                _overdue++;
                _recheckByTicks = Math.Min(_recheckByTicks, copy.ProvenTicks + ageTicks);
                _oldestProofTicks = Math.Min(_oldestProofTicks, copy.ProvenTicks);
                break;
            case CopyStanding.Lost:
                _lost++;
                break;
            default:
                break;
        }

        if (copy.Size > 0 && copy.Standing is not (CopyStanding.Lost or CopyStanding.Odd))
        {
            _heldSize += copy.Size;
        }

        if (copy.Size > 0 && copy.MadeTicks != long.MaxValue && drive.LastState is { } state && copy.MadeTicks > state.Stamp.Ticks)
        {
            _sizeSinceSeen += copy.Size;
        }
    }

    public ByteCount? Capacity =>
        drive.LastState is { Fact.Capacity.Value: > 0 } state ? state.Fact.Capacity : drive.Declared?.Capacity;

    /// <summary>Free bytes; a drive that was never seen counts as holding only what is known to be on it.</summary>
    public ByteCount? Free =>
        drive.LastState is { Fact.Free.Value: >= 0 } state ? new ByteCount(Math.Max(0, state.Fact.Free.Value - _sizeSinceSeen))
        : drive.Declared is { } declared ? new ByteCount(Math.Max(0, declared.Capacity.Value - _heldSize))
        : null;

    public DriveRow ToRow() => new(
        drive.Name,
        drive.Declared is not null,
        drive.Case,
        drive.Carrier,
        Capacity,
        Free,
        _proven,
        new ByteCount(_provenSize),
        _overdue,
        _lost,
        _oldestProofTicks == long.MaxValue ? null : Instant.FromUnixTimeTicks(_oldestProofTicks),
        drive.LastState is { } last ? Instant.FromUnixTimeTicks(last.Stamp.Ticks) : null,
        drive.LastState?.Fact.Health ?? DriveHealth.Unknown,
        drive.LastState?.Fact.Temperature,
        drive.Doubt,
        drive.IsIntermediate,
        _recheckByTicks == long.MaxValue ? null : Instant.FromUnixTimeTicks(_recheckByTicks));
}
