using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;

namespace KitMesh.Outlook.Energy;

// Problem: "68 %" means little to a camera assistant; "nine of fourteen days", "eleven flights" does.
// Trap: a battery that flies in the cold gives less than it took to charge it.
// Method: find the energy a day for all loads together that lasts to the last day in nine cases of ten (WhatIfs.SustainableWh), serve life-safety first,
// then work and comfort in their order, and turn each load's share into its days; and into flights (one battery each, as much as it gives at today's temperature), hours (where its running power
// was measured) or a phone's share a person. What a device is is taken from its name, because the trip file tells no more.

/// <summary>Turns the energy into each device's work, the most important first.</summary>
internal static class WorkBudget
{
    internal static ValueList<WorkMeasure> Of(BankCases cases, KitBook kit, ReadingBook readings, double sustainableWh)
    {
        double left = sustainableWh - cases.LifeWh;
        int days = kit.Days;
        var measures = new List<WorkMeasure>();
        foreach (Load load in cases.Bank.Loads.Where(load => load.Class != LoadClass.LifeSafety))
        {
            double perDay = cases.Beliefs.Loads[load.Id].MeanWh;
            double share = perDay > 0 ? Math.Clamp(left / perDay, 0, 1) : 1;
            left -= share * perDay;
            double worked = share * days;
            (WorkUnit unit, double amount, string words) = Amount(load, share * perDay, worked, days, kit, readings, cases.Place);
            measures.Add(new WorkMeasure(
                load.Id,
                new WattHours(perDay),
                worked,
                days,
                FormattableString.Invariant($"{load.Id}: {Math.Floor(worked + 1e-9):0} of {days} days at {perDay:0} Wh a day{words}, in nine cases of ten"),
                unit,
                amount));
        }

        return measures.ToValueList();
    }

    private static (WorkUnit Unit, double Amount, string Words) Amount(Load load, double perDayWh, double workedDays, int days, KitBook kit, ReadingBook readings, Place place)
    {
        double whole = perDayWh * days;
        string name = load.Id.Value;
        bool Named(string word) => name.Contains(word, StringComparison.OrdinalIgnoreCase);
        if (Named("phone") && load.Battery is { Value: > 0 } phone)
        {
            int people = Math.Max(1, kit.PeopleOf(load.Team));
            double share = perDayWh / phone.Value / people;
            return (WorkUnit.PhoneShare, share, FormattableString.Invariant($", {share * 100:0} % of a phone's battery a day for each of {people}"));
        }

        if (Named("drone") && load.Battery is { Value: > 0 } battery)
        {
            double gives = ColdShare(load, battery, place);
            double flights = Math.Floor((whole / battery.Value) + 1e-9);
            return (WorkUnit.Flights, flights, FormattableString.Invariant($", {flights:0} flights, each with {gives * 100:0} % of its battery at {place.DayTemperature.Value:0} °C"));
        }

        if (Named("camera") && Running(load, readings) is { } watts)
        {
            double hours = whole / watts;
            return (WorkUnit.Hours, hours, FormattableString.Invariant($", {hours:0} h at {watts:0.#} W"));
        }

        return (WorkUnit.Days, workedDays, "");
    }

    // Median of the powers it was seen to draw.
    private static double? Running(Load load, ReadingBook readings)
    {
        double[] seen = [.. readings.Load(load.Id).Select(reading => reading.Body.Watts?.Value ?? 0).Where(watts => watts > 0.5).Order()];
        return seen.Length >= 3 ? seen[seen.Length / 2] : null;
    }

    // Share that a battery gives in half an hour's flight at the day's temperature, against a warm one drawn slowly. Three cells in series: own choice, the share hardly depends on it.
    private static double ColdShare(Load load, WattHours battery, Place place)
    {
        var model = new PackModel(new Pack(
            load.Id, null, load.Chemistry == Chemistry.Unknown ? Chemistry.Lco : load.Chemistry, 3, new AmpereHours(battery.Value / 11.1), null, null, null, null, null));
        double gives = model.Usable(new StateOfCharge(1), new Watts(2 * battery.Value), place.DayTemperature).Energy.Value;
        return Math.Clamp(gives / Math.Max(1e-6, model.Energy.Value), 0, 1);
    }
}
