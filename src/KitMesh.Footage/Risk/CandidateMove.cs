using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using NodaTime;

namespace KitMesh.Footage.Risk;

/// <summary>A move that could be made, and the holdings after it.</summary>
/// <param name="Kind">What.</param>
/// <param name="Drive">The drive.</param>
/// <param name="Into">The case that it goes to; null when it stays.</param>
/// <param name="Day">The day that is copied; null for a move or recheck.</param>
/// <param name="Size">Bytes read or written.</param>
/// <param name="Takes">How long.</param>
/// <param name="Energy">What it takes.</param>
/// <param name="After">The holdings after it.</param>
internal sealed record CandidateMove(
    FootageMoveKind Kind,
    KitId Drive,
    KitId? Into,
    LocalDate? Day,
    ByteCount Size,
    Duration Takes,
    WattHours Energy,
    Holdings After)
{
    public static CandidateMove Copy(Holdings now, LocalDate day, HeldDrive drive, KitId? into, MoveCosts costs)
    {
        long bytes = Missing(now, day, drive.Drive).Sum(group => group.Size.Value);
        Duration takes = costs.Copying(bytes) + (into is null ? Duration.Zero : costs.Handling);
        Holdings after = now with
        {
            Groups = now.Groups.Select(group => group.Day == day ? WithCopy(group, drive.Drive) : group).ToValueList(),
            Drives = now.Drives
                .Select(other => other.Drive == drive.Drive ? Filled(other, bytes, now.AsOf) : other)
                .ToValueList(),
        };
        return new CandidateMove(
            FootageMoveKind.Copy,
            drive.Drive,
            into,
            day,
            new ByteCount(bytes),
            takes,
            Spent(drive, 3 * bytes, costs.Energy(costs.Copying(bytes), 2)),
            into is { } inside ? Moved(after, drive.Drive, inside) : after);
    }

    public static CandidateMove Place(Holdings now, HeldDrive drive, KitId into, MoveCosts costs) => new(
        FootageMoveKind.Place,
        drive.Drive,
        into,
        null,
        ByteCount.Zero,
        costs.Handling,
        new WattHours(0),
        Moved(now, drive.Drive, into));

    public static CandidateMove Recheck(Holdings now, HeldDrive drive, MoveCosts costs)
    {
        long bytes = now.Groups.Where(group => group.Drives.Contains(drive.Drive) || group.MadeDrives.Contains(drive.Drive)).Sum(group => group.Size.Value);
        Holdings after = now with
        {
            Groups = now.Groups.Select(group => group.MadeDrives.Contains(drive.Drive) ? WithCopy(group, drive.Drive) : group).ToValueList(),
            Drives = now.Drives.Select(other => other.Drive == drive.Drive ? other with { OldestProof = now.AsOf } : other).ToValueList(),
        };
        return new CandidateMove(
            FootageMoveKind.Recheck,
            drive.Drive,
            null,
            null,
            new ByteCount(bytes),
            costs.Reading(bytes),
            Spent(drive, bytes, costs.Energy(costs.Reading(bytes), 1)),
            after);
    }

    // A copy moves its bytes three times: read, written, read back. What was measured on the drive wins over cautious figures.
    private static WattHours Spent(HeldDrive drive, long moved, WattHours otherwise) => drive.MoveCost is { } cost ? cost.For(new ByteCount(moved)) : otherwise;

    /// <summary>Groups of a day that have no proven copy on a drive and can be copied from somewhere.</summary>
    public static IEnumerable<HeldGroup> Missing(Holdings now, LocalDate day, KitId drive) => now.Groups
        .Where(group => group.Day == day && !group.Drives.Contains(drive) && CanBeRead(group));

    private static bool CanBeRead(HeldGroup group) => group.Drives.Count > 0 || group.MadeDrives.Count > 0 || group.Card is not null;

    private static HeldGroup WithCopy(HeldGroup group, KitId drive) =>
        group.Drives.Contains(drive) || !CanBeRead(group)
            ? group
            : group with
            {
                Drives = group.Drives.Append(drive).Order().ToValueList(),
                MadeDrives = group.MadeDrives.Where(other => other != drive).ToValueList(),
            };

    private static HeldDrive Filled(HeldDrive drive, long bytes, Instant now) => drive with
    {
        Free = drive.Free is { } free ? new ByteCount(Math.Max(0, free.Value - bytes)) : null,
        OldestProof = drive.OldestProof ?? now,
    };

    private static Holdings Moved(Holdings now, KitId drive, KitId into)
    {
        ValueList<KitId> chain = [into, .. Outside(now, into)];
        return now with
        {
            Drives = now.Drives.Select(other => other.Drive == drive ? other with { Case = into, Chain = chain } : other).ToValueList(),
        };
    }

    /// <summary>Who or what holds a case: as for the drives that are in it, else as declared.</summary>
    private static IEnumerable<KitId> Outside(Holdings now, KitId inside)
    {
        if (now.Drives.FirstOrDefault(drive => drive.Chain.Contains(inside)) is { } neighbour)
        {
            return neighbour.Chain.SkipWhile(holder => holder != inside).Skip(1);
        }

        return now.Cases.FirstOrDefault(item => item.Id == inside)?.Carrier is { } carrier ? [carrier] : [];
    }
}
