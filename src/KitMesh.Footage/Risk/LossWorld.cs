using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Ledger;
using NodaTime;

namespace KitMesh.Footage.Risk;

/// <summary>
/// Turns holdings into a loss model for a span of days.
/// </summary>
/// <remarks>
/// Containers nest (drive in case, case with a person, person in a team, team at a place); each that can be lost is one
/// shock over the drives inside it. A batch is a shock that cuts across. A card on hold counts as one more copy, taken to
/// be away from the drives' cases; a card that may be formatted does not, since it may be empty tomorrow. A place is not
/// lost, so it is no container. What the trip file declares as a danger shared by several things cuts across the nesting too.
/// </remarks>
public sealed class LossWorld
{
    private readonly Holdings _holdings;
    private readonly LossParameters _parameters;
    private readonly Dictionary<KitId, int> _numberOfDrive = [];
    private readonly Dictionary<KitId, Case> _cases;
    private readonly KitId[] _cards;
    private readonly double _days;
    private readonly double _shareOfTrip;

    /// <param name="holdings">Where everything lies.</param>
    /// <param name="until">The end of the span.</param>
    /// <param name="parameters">The figures.</param>
    public LossWorld(Holdings holdings, Instant until, LossParameters parameters)
    {
        _holdings = holdings;
        _parameters = parameters.With(holdings.Figures);
        Until = until;
        _days = Math.Max(0, (until - holdings.AsOf).TotalDays);
        double tripDays = holdings.Trip is { } trip ? Math.Max(1, Period.DaysBetween(trip.FirstDay, trip.LastDay) + 1) : 28;
        _shareOfTrip = _days / tripDays;
        _cases = holdings.Cases.ToDictionary(item => item.Id);
        _cards = [.. holdings.Groups.Select(group => group.Card).OfType<KitId>().Distinct().Order()];
        foreach (HeldDrive drive in holdings.Drives)
        {
            _numberOfDrive.Add(drive.Drive, _numberOfDrive.Count);
        }
    }

    /// <summary>The end of the span.</summary>
    public Instant Until { get; }

    /// <summary>The figures, with those of the trip file in their places.</summary>
    public LossParameters Parameters => _parameters;

    /// <summary>Where everything lies.</summary>
    public Holdings Holdings => _holdings;

    /// <summary>The model with every figure at one end.</summary>
    /// <param name="end">The end.</param>
    public LossModel Model(LossEnd end)
    {
        double[] fails = [.. _holdings.Drives.Select(drive => DriveFails(drive, end))];
        List<Shock> shocks = [.. ContainerShocks(end), .. SharedDangers(end)];
        double share = _parameters.CommonShare.At(end);
        foreach (IGrouping<KitId, HeldDrive> batch in _holdings.Drives
            .Where(drive => drive.Batch is not null)
            .GroupBy(drive => drive.Batch!.Value)
            .Where(batch => batch.Count() > 1)
            .OrderBy(batch => batch.Key))
        {
            ValueList<int> members = batch.Select(drive => _numberOfDrive[drive.Drive]).ToValueList();
            shocks.Add(new Shock($"batch {batch.Key}", share * members.Max(member => fails[member]), members));
            foreach (int member in members)
            {
                fails[member] *= 1 - share;
            }
        }

        double cardFails = FailureChance.OfDrive(_parameters.CardAnnualFailureRate.At(end), _days);
        return new LossModel(fails, shocks, _cards.Select(_ => cardFails));
    }

    /// <summary>A group of clips as the model takes it.</summary>
    /// <param name="group">The group.</param>
    /// <param name="end">The end of the figures' ranges.</param>
    public HeldSet Set(HeldGroup group, LossEnd end)
    {
        double clipBytes = (double)group.Size.Value / group.Clips;
        IEnumerable<(int Drive, double Error)> copies = group.Drives
            .Select(drive => Copy(drive, clipBytes, end, neverRead: false))
            .Concat(group.MadeDrives.Select(drive => Copy(drive, clipBytes, end, neverRead: true)))
            .OrderBy(copy => copy.Drive);
        return new HeldSet(
            copies.Select(copy => copy.Drive).ToValueList(),
            copies.Select(copy => copy.Error).ToValueList(),
            group.Clips,
            group.Card is { } card ? Array.BinarySearch(_cards, card) : -1);
    }

    /// <summary>Groups that lie on the same drives and card as one set each: errors averaged over their clips.</summary>
    /// <param name="groups">The groups.</param>
    /// <param name="end">The end of the figures' ranges.</param>
    public IReadOnlyList<HeldSet> MergedSets(IEnumerable<HeldGroup> groups, LossEnd end) =>
    [
        .. groups
            .Select(group => Set(group, end))
            .GroupBy(set => (string.Join(',', set.Drives), set.Card))
            .Select(Merge),
    ];

    private static HeldSet Merge(IGrouping<(string Drives, int Card), HeldSet> same)
    {
        HeldSet first = same.First();
        long clips = same.Sum(set => set.Clips);
        return first with
        {
            Clips = clips,
            Errors = Enumerable.Range(0, first.Drives.Count).Select(i => same.Sum(set => set.Errors[i] * set.Clips) / clips).ToValueList(),
        };
    }

    private (int Drive, double Error) Copy(KitId name, double clipBytes, LossEnd end, bool neverRead)
    {
        int number = _numberOfDrive[name];
        HeldDrive drive = _holdings.Drives[number];
        double unreadable = FailureChance.OfReading(new((long)clipBytes), _parameters.BitErrorRate.At(end));
        double capacity = Math.Max(clipBytes, drive.Capacity?.Value ?? 1e12);
        double years = Math.Max(0, (Until - (drive.OldestProof ?? _holdings.AsOf)).TotalDays) / FailureChance.DaysPerYear;
        double rot = -FailureChance.Expm1(-_parameters.RotPerDriveYear.At(end) * years * clipBytes / Math.Max(1, capacity));
        double error = FailureChance.Either(unreadable, rot);
        return (number, neverRead ? FailureChance.Either(error, _parameters.UnprovenBad.At(end)) : error);
    }

    private double DriveFails(HeldDrive drive, LossEnd end)
    {
        double annual = drive.AnnualFailureRate is { } declared
            ? declared * _parameters.AnnualFactor.At(end)
            : _parameters.AnnualFailureRate.At(end);
        double chance = FailureChance.OfDrive(Math.Min(0.99, annual), _days);
        bool warns = drive.Health is DriveHealth.Warning or DriveHealth.Failing;
        return Math.Min(0.99, warns ? chance * _parameters.FailingFactor.At(end) : chance);
    }

    private IEnumerable<Shock> ContainerShocks(LossEnd end)
    {
        IEnumerable<KitId> containers = _holdings.Drives.SelectMany(drive => drive.Chain).Distinct().Order();
        foreach (KitId container in containers)
        {
            double perTrip = _cases.TryGetValue(container, out Case? known)
                ? Math.Clamp(known.LossChance * _parameters.CaseFactor.At(end), 0, 0.99)
                : _parameters.CarrierChance.At(end);
            double chance = InSpan(perTrip);
            ValueList<int> inside = _holdings.Drives.Where(drive => drive.Chain.Contains(container)).Select(drive => _numberOfDrive[drive.Drive]).ToValueList();
            yield return new Shock(container.Value, chance, inside);
        }
    }

    /// <summary>Dangers that the trip file declares; they cut across the nesting of cases and carriers.</summary>
    private IEnumerable<Shock> SharedDangers(LossEnd end)
    {
        foreach (SharedDanger danger in _holdings.Dangers)
        {
            ValueList<int> taken = _holdings.Drives
                .Where(drive => danger.Takes.Contains(drive.Drive) || drive.Chain.Any(danger.Takes.Contains))
                .Select(drive => _numberOfDrive[drive.Drive])
                .ToValueList();
            if (taken.Count > 0 && danger.Chance is >= 0 and <= 1)
            {
                double perTrip = Math.Clamp(danger.Chance * _parameters.CaseFactor.At(end), 0, 0.99);
                yield return new Shock(danger.Id.Value, InSpan(perTrip), taken);
            }
        }
    }

    /// <summary>What a chance for the whole trip comes to in the span.</summary>
    private double InSpan(double perTrip) => -FailureChance.Expm1(FailureChance.Log1p(-perTrip) * _shareOfTrip);
}
