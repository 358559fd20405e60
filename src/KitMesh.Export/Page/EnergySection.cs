using KitMesh.Domain;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Export.Account;
using KitMesh.Outlook.Debrief;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Export.Page;

/// <summary>Energy: in and out by source, forecast against what came, boxes, cold charging, devices.</summary>
internal static class EnergySection
{
    internal static void Draw(HtmlPen pen, TripAccount account)
    {
        pen.Line("h2", "Energy in and out");
        if (account.Energy.Banks.Count == 0)
        {
            pen.Line("p", "No bank is declared.");
        }

        foreach (BankDebrief bank in account.Energy.Banks)
        {
            Bank(pen, bank);
        }

        Devices(pen, account);
        Cold(pen, account);
        Learnt(pen, account);
    }

    private static void Bank(HtmlPen pen, BankDebrief bank)
    {
        pen.Line("h3", F($"{bank.Bank} of {bank.Team}: holds {bank.Capacity.Value:0} Wh, reserve {bank.Reserve.Value * 100:0} %"));
        LocalDate[] days = [.. bank.Days.Select(day => day.Day)];
        DayChart.Draw(
            pen, $"Energy of {bank.Bank} by day", "Wh", days,
            [
                new DaySeries("from the panels", "a", [.. bank.Days.Select(day => day.Panels?.Value)]),
                new DaySeries("into the packs", "b", [.. bank.Days.Select(day => day.IntoPacks?.Value)]),
                new DaySeries("out of the packs", "d", [.. bank.Days.Select(day => day.OutOfPacks?.Value)]),
                new DaySeries("metered loads", "c", [.. bank.Days.Select(day => day.Loads?.Value)]),
            ]);
        DayChart.Draw(
            pen, $"What came from the panels of {bank.Bank} against the forecast", "Wh", days,
            [new DaySeries("came", "a", [.. bank.Days.Select(day => day.Panels?.Value)])],
            [.. bank.Days.Select(day => day.Forecast is { } spread ? ((double, double, double)?)(spread.P10.Value, spread.P50.Value, spread.P90.Value) : null)]);
        var table = new PageTable(
            "!Day", ">Panels Wh", ">Forecast 1 in 10 to 9 in 10 Wh", ">Into packs Wh", ">Out of packs Wh", ">Loads Wh", ">Not metered Wh", ">Lowest", ">Coldest °C", ">Heat lost by the box Wh", ">Charged thanks to warmth Wh", ">Hours read");
        foreach (BankDay day in bank.Days)
        {
            table.Row(
                LocalDatePattern.Iso.Format(day.Day), Wh(day.Panels), day.Forecast is { } forecast ? F($"{forecast.P10.Value:0} to {forecast.P90.Value:0}") : "–", Wh(day.IntoPacks), Wh(day.OutOfPacks), Wh(day.Loads),
                Number(Rest(day)), day.Lowest is { } lowest ? F($"{lowest.Value * 100:0} %") : "–", day.Coldest is { } cold ? F($"{cold.Value:0.0}") : "–", Wh(day.BoxLoss), Wh(day.WarmGain), F($"{day.CoveredHours:0.0}"));
        }

        BankDay[] judged = [.. bank.Days.Where(day => day is { Panels: not null, Forecast: not null, CoveredHours: >= 20 })];
        table.Foot(
            "All", Sum(bank.Days, day => day.Panels), "", Sum(bank.Days, day => day.IntoPacks), Sum(bank.Days, day => day.OutOfPacks), Sum(bank.Days, day => day.Loads),
            Number(bank.Days.Select(Rest).Aggregate((double?)null, (sum, one) => one is { } value ? (sum ?? 0) + value : sum)),
            bank.Days.Any(day => day.Lowest is not null) ? F($"{bank.Days.Min(day => day.Lowest?.Value) * 100:0} %") : "–",
            bank.Days.Any(day => day.Coldest is not null) ? F($"{bank.Days.Min(day => day.Coldest?.Value):0.0}") : "–",
            Sum(bank.Days, day => day.BoxLoss), Sum(bank.Days, day => day.WarmGain), "");
        table.Draw(pen, "Nothing was read on these days.");
        if (judged.Length > 0)
        {
            int inside = judged.Count(day => day.Panels!.Value.Value >= day.Forecast!.P10.Value && day.Panels!.Value.Value <= day.Forecast.P90.Value);
            double bias = judged.Average(day => day.Panels!.Value.Value - day.Forecast!.P50.Value);
            pen.Line("p", F($"Of {judged.Length} days that were read for at least 20 hours, {inside} came inside the morning's range; 8 in 10 should. On average {Math.Abs(bias):0} Wh {(bias < 0 ? "less" : "more")} came than its median."));
        }
    }

    private static void Devices(HtmlPen pen, TripAccount account)
    {
        pen.Line("h2", "Every device");
        var table = new PageTable("Device", "Bank", ">Metered Wh", ">Whole days", ">Wh a day", ">Declared Wh a day", ">Took no charge", ">for");
        foreach (LoadDebrief load in account.Energy.Loads)
        {
            bool any = load.Total.Value > 0 || load.WholeDays > 0;
            table.Row(
                load.Load.Value, load.Bank.Value, any ? F($"{load.Total.Value:0}") : "–", F($"{load.WholeDays}"), load.PerDay is { } perDay ? F($"{perDay.Value:0.0}") : "–", F($"{load.Declared.Value:0.#}"),
                load.RefusedTimes > 0 ? F($"{load.RefusedTimes} times") : "never seen", load.RefusedTimes > 0 ? F($"{load.RefusedHours:0.0} h") : "");
        }

        table.Foot("All", "", F($"{account.Energy.Loads.Sum(load => load.Total.Value):0}"), "", "", F($"{account.Energy.Loads.Sum(load => load.Declared.Value):0.#}"), "", "");
        table.Draw(pen, "No device is declared.");
        pen.Line("p", "“Took no charge” counts how often a device stood plugged in and did not charge, as devices with a gauge of their own tell.", ("class", "small"));
    }

    private static void Cold(HtmlPen pen, TripAccount account)
    {
        pen.Line("h2", "Charging in the cold");
        var table = new PageTable("Pack", "Bank", ">Limit °C", ">Charged under it Ah", ">for h", ">Coldest °C", ">Charged without a thermometer h");
        foreach (ColdCharge pack in account.Energy.Cold)
        {
            table.Row(
                pack.Pack.Value, pack.Bank.Value, F($"{pack.Limit.Value:0.#}"), F($"{pack.Charge.Value:0.00}"), F($"{pack.Hours:0.0}"), pack.Coldest is { } coldest ? F($"{coldest.Value:0.0}") : "–", F($"{pack.UnwatchedHours:0.0}"));
        }

        table.Draw(pen, "No pack was read.");
        pen.Line("p", "The limit is the maker's where the trip file tells it, else the chemistry's. A bank and its packs are lines of their own and are not added up.", ("class", "small"));
    }

    private static void Learnt(HtmlPen pen, TripAccount account)
    {
        pen.Line("h2", "What the readings tell of the kit");
        var table = new PageTable("Thing", "Figure", ">Measured", ">±", "Unit", ">Declared", ">From");
        foreach (TripEvidence one in account.Energy.Learnt)
        {
            table.Row(one.Item.Value, Name(one.Figure), Significant(one.Value), Significant(one.Doubt), one.Unit, Significant(one.Declared), F($"{one.Evidence} {one.EvidenceOf}"));
        }

        table.Draw(pen, "Not enough was read to tell anything.");
        pen.Line("p", "The heat lost by the box is its UA as learnt (else as declared) times what it was warmer than the air: heater, packs and heat brought in paid for it. “Not metered” is what came from the panels and out of the packs and neither went into the packs nor through a meter: the heater, the wiring and every load without one. “Charged thanks to warmth” was charged while the cells were warm enough and the air was not.", ("class", "small"));
    }

    internal static string Name(LearntFigure figure) => figure switch
    {
        LearntFigure.LoadPerDay => "energy a day",
        LearntFigure.PanelDerate => "derate",
        LearntFigure.BoxLoss => "heat loss UA",
        LearntFigure.BoxCapacity => "heat capacity C",
        LearntFigure.SourcePerDay => "footage a day",
        _ => "failures a day",
    };

    /// <summary>Panels and packs out, less packs in and metered loads: what nothing metered.</summary>
    private static double? Rest(BankDay day) => day is { Panels: { } panels, IntoPacks: { } into, OutOfPacks: { } outOf }
        ? panels.Value + outOf.Value - into.Value - (day.Loads?.Value ?? 0)
        : null;

    private static string Wh(WattHours? energy) => Number(energy?.Value);

    private static string Number(double? value) => value is { } told ? F($"{told:0}") : "–";

    private static string Significant(double value) => Math.Abs(value) switch { 0 => "0", >= 1000 => F($"{value:0}"), >= 10 => F($"{value:0.0}"), >= 0.1 => F($"{value:0.00}"), _ => F($"{value:0.0000}") };

    private static string Sum(ValueList<BankDay> days, Func<BankDay, WattHours?> of) =>
        days.Any(day => of(day) is not null) ? F($"{days.Sum(day => of(day)?.Value ?? 0):0}") : "–";

    private static string F(FormattableString text) => FormattableString.Invariant(text);
}
