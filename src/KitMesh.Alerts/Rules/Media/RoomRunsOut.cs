using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>All drives together: within days the copies that the rule asks for find no more room.</summary>
/// <remarks>
/// Judged on the day with even odds in the footage outlook. Fires at three days or fewer, clears past four: what gives way
/// (fewer copies, lower data rates) must be decided while there is still a choice. Own choices, no published source.
/// </remarks>
public sealed class RoomRunsOut : IAlertRule
{
    private const int FireWithin = 3;
    private const int ClearPast = 4;

    private static readonly KitId AllDrives = KitId.Parse("all drives");

    /// <inheritdoc/>
    public string Name => "room-runs-out";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "Within three days the copies that the rule asks for find no more room on all drives together.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => false;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        ArgumentNullException.ThrowIfNull(stands);
        if (inputs.Footage is not { } footage)
        {
            yield break;
        }

        LocalDate today = inputs.Now.WithOffset(inputs.Zone).Date;
        CopyShortfall? first = footage.Shortfalls.Where(shortfall => shortfall.Likely is not null).OrderBy(shortfall => shortfall.Likely).ThenBy(shortfall => shortfall.Copies).FirstOrDefault();
        int within = stands(AllDrives) ? ClearPast : FireWithin;
        if (first?.Likely is not { } day || Period.DaysBetween(today, day) > within)
        {
            yield return Finding.Clear(AllDrives, "The copies that the rule asks for find room.");
            yield break;
        }

        string giveWay = footage.GiveWays.FirstOrDefault() is { } mildest ? $" The mildest: {mildest.What}." : "";
        yield return new Finding(
            AllDrives,
            Fires: true,
            string.Create(CultureInfo.InvariantCulture, $"From {day:uuuu-MM-dd} on, copy {first.Copies} of what is shot finds no more room, with even odds; {first.GigabytesShort:0.##} GB are missing by the last day."),
            $"Decide now what gives way.{giveWay} Delete nothing from a drive before the ledger says that enough copies exist elsewhere.");
    }
}
