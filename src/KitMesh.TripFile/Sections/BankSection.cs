using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>banks:</c> become <see cref="Bank"/>.</summary>
internal sealed class BankSection() : Section("banks", "Packs joined in parallel, from which a team charges.")
{
    private static readonly NameKey Title = new(KitKind.Bank, "ridge bank");
    private static readonly UseKey Team = new("team", "ridge team", "Whose it is.", true, KitKind.Team);
    private static readonly UseKey Box = new("box", "ridge box", "The insulated box it rides in. Without the key: it stands in the open.", false, KitKind.Box);
    private static readonly QuantityKey Arrival = new("arrivalCharge", UnitFamily.Percent, 0, 100, 30, "State of charge on the first day; freight may require 30 % or less: ask the carrier.");
    private static readonly QuantityKey Reserve = new("reserve", UnitFamily.Percent, 0, 90, 20, "State of charge under which the bank counts as run short; kept for life-safety loads.", standard: 20);
    private static readonly QuantityKey MaxPanel = new("maxPanelVoltage", UnitFamily.Voltage, 5, 1000, 100, "Highest panel voltage that the controller stands, from its maker's sheet.", required: false);
    private static readonly QuantityKey MaxCharge = new("maxChargeCurrent", UnitFamily.Current, 0.1, 500, 20, "Highest current that the controller gives.", required: false);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Team, Box, Arrival, Reserve, MaxPanel, MaxCharge];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId team = entry.Get(Team);
        KitId? box = entry.Optional(Box);
        double arrival = entry.Get(Arrival);
        double reserve = entry.Get(Reserve, Reserve.Standard);
        double? maxPanel = entry.Optional(MaxPanel);
        double? maxCharge = entry.Optional(MaxCharge);
        if (entry.IsSound && arrival < reserve)
        {
            entry.Question(Arrival.Name, $"The bank would arrive with {arrival} %, which is under its reserve of {reserve} %.", "It counts as run short from the first day: is that meant?");
        }

        entry.Add(() => new Bank(
            id,
            team,
            box,
            StateOfCharge.FromPercent(arrival),
            StateOfCharge.FromPercent(reserve),
            maxPanel is { } volts ? new Volts(volts) : null,
            maxCharge is { } amperes ? new Amperes(amperes) : null));
    }
}
