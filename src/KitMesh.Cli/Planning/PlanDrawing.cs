using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using KitMesh.Outlook.Plan;
using Spectre.Console;

namespace KitMesh.Cli.Planning;

/// <summary>Draws a plan for a person, alone or beside another.</summary>
internal static class PlanDrawing
{
    public static void Draw(DataOut output, TripPlan plan, TripPlan? other)
    {
        Learnt(output, plan);
        Energy(output, plan);
        if (other is not null)
        {
            output.Line("Beside it:");
            Energy(output, other);
        }

        Storage(output, plan, "");
        if (other is not null)
        {
            Storage(output, other, "Beside it: ");
        }

        Nights(output, plan);
        Weights(output, plan);
        Air(output, plan);
        Single(output, plan);
        Spares(output, plan);
        WayHome(output, plan);
        foreach (string caution in plan.Energy.Banks.SelectMany(bank => bank.Cautions).Distinct(StringComparer.Ordinal))
        {
            output.Line($"Caution: {caution}");
        }

        output.Line("Odds rest on what the file declares; the maker's data sheets, the operator's and local rules and licensed people decide.");
    }

    private static void Learnt(DataOut output, TripPlan plan)
    {
        foreach (LearntUse use in plan.Learnt)
        {
            output.Line(Number($"Learnt, {use.Item}: {use.Used:0.###} {(use.Unit == "1" ? "" : use.Unit)} instead of the {use.Declared:0.###} declared ({use.Because})."));
        }
    }

    private static void Energy(DataOut output, TripPlan plan)
    {
        output.Heading(Number($"{plan.Trip}: {plan.Days} days"));
        Table table = DataOut.Table("Bank", ">Holds", ">Arrives", ">A day", ">Needs", ">Sun", ">Heater", ">Days without sun", ">Short by last day");
        foreach (EnergySum sum in plan.Sums)
        {
            ChanceRange chance = plan.Energy.Banks.Single(bank => bank.Bank == sum.Bank).ShortByLastDay;
            table.AddRow(
                new Text(sum.Bank.Value),
                new Text(Number($"{sum.Holds.Value:0} Wh")),
                new Text(Number($"{sum.OnArrival.Value:0} Wh")),
                new Text(Number($"{sum.PerDay.Value:0} Wh")),
                new Text(Number($"{sum.Needed.Value:0} Wh")),
                new Text(Number($"{sum.SunMedian.Value:0} Wh")),
                new Text(Number($"{sum.HeaterMedian.Value:0} Wh")),
                new Text(Number($"{sum.SunlessDays:0.0}")),
                new Text(Number($"{chance.Best.Value * 100:0.#} % ({chance.Low.Value * 100:0.#} to {chance.High.Value * 100:0.#})")));
        }

        output.Draw(table);
        PlanCaution caution = PlanCaution.Usual;
        output.Line(Number($"  Counted against the kit while nothing is measured: packs hold {caution.CapacityShare * 100:0} % of their rating; skies vary {caution.SkyWidening:0.#} times as much from day to day as in published tables and carry on; panels stay in on days under {caution.StormIndex * 100:0} % of a clear day's light."));
        output.Line("  Sun and heater are the middle of what the outlook's paths take: a bank that has run empty first warms its cells from what the panels leave over, and takes sun again when they are warm; many protection boards shut off by then and want a charger to wake them: the maker's sheet tells.");
        foreach (SunlessSpan span in plan.Sunless)
        {
            output.Line($"  THE SUN DOES NOT RISE at {span.Place} from {span.From:uuuu-MM-dd} to {span.To:uuuu-MM-dd} ({span.Team}, {span.Days} {(span.Days == 1 ? "day" : "days")}): panels give nothing then.");
        }

        foreach (CalendarSpan span in plan.Calendar.Where(span => span.Kind != Domain.Kit.DayKind.Camp || span.PanelHours is not null))
        {
            string hours = span.PanelHours is { } told ? Number($", panels {told:0.#} h") : "";
            output.Line($"  {span.Team}, {span.From:uuuu-MM-dd} to {span.To:uuuu-MM-dd}: {span.Kind.ToString().ToLowerInvariant()} at {span.Where}{hours}");
        }
    }

    private static void Storage(DataOut output, TripPlan plan, string before)
    {
        if (plan.Storage is { } storage && plan.Footage is { } footage)
        {
            output.Line(before + Number($"Room: {storage.GigabytesPerDay:0.#} GB a day × {storage.Days} days × {storage.Copies} copies = {storage.NeededGigabytes:#,0} GB of {storage.HaveGigabytes:#,0} GB; full after {storage.RunwayDays:0.0} days; room lasts: {footage.RoomLasts.Value * 100:0.#} %."));
        }
    }

    private static void Nights(DataOut output, TripPlan plan)
    {
        foreach (ChargeNight night in plan.Nights)
        {
            string longest = night.Longest is { } load ? Number($"; {load} takes longest, {night.LongestHours:0.0} h") : "";
            output.Line(Number($"Charging {night.Bank}: {night.Hours:0.0} outlet hours a night of {night.HoursThereAre:0} from 18 to 7 o'clock on {night.Outlets} outlets{longest}{(night.Hours > night.HoursThereAre ? ": NOT ENOUGH OUTLETS" : "")}."));
        }
    }

    private static void Weights(DataOut output, TripPlan plan)
    {
        foreach (CarriedWeight weight in plan.Weights)
        {
            string who = weight.Carrier?.Value ?? "nobody named";
            output.Line(Number($"Weight, {(weight.IsSled ? "riding in " : "")}{who}: {weight.Mass.Value:0.##} kg ({string.Join(", ", weight.Items)})"));
        }

        if (plan.NoMass.Count > 0)
        {
            output.Line($"Weight not told: {string.Join(", ", plan.NoMass)}.");
        }
    }

    private static void Air(DataOut output, TripPlan plan)
    {
        Table table = DataOut.Table("Flies with", "Battery", ">Each", ">A person", "Verdict", "Rule of");
        foreach (AirRow row in plan.Air)
        {
            string verdict = row.Verdict switch { AirVerdict.Allowed => "allowed", AirVerdict.AskOperator => "ASK THE OPERATOR", _ => "NOT AS BAGGAGE" };
            table.AddRow(new Text(row.Carrier?.Value ?? "nobody named"), new Text(row.Item.Value), new Text(Number($"{row.Each.Value:0.#} Wh")), new Text(Number($"{row.EachPerson}")), new Text(verdict), new Text(row.RuleDate));
        }

        output.Draw(table);
        foreach (string reason in plan.Air.Select(row => row.Reason).Distinct(StringComparer.Ordinal))
        {
            output.Line($"  {reason}");
        }
    }

    private static void Single(DataOut output, TripPlan plan)
    {
        foreach (SinglePoint point in plan.SinglePoints)
        {
            output.Line($"Only one: {point.Item}, {point.Words}.");
        }
    }

    private static void Spares(DataOut output, TripPlan plan)
    {
        foreach (SpareWorth spare in plan.Spares)
        {
            output.Line(Number($"One more {spare.Item} ({spare.Mass.Value:0.##} kg): the chance for {spare.For} goes from {spare.Before.Value * 100:0.0} to {spare.After.Value * 100:0.0} %."));
        }
    }

    private static void WayHome(DataOut output, TripPlan plan)
    {
        foreach (HomeBag bag in plan.WayHome)
        {
            string full = bag.HoldsAll ? "room for everything" : "NOT ROOM FOR EVERYTHING: what does not fit has a copy less";
            output.Line(Number($"Way home, copy {bag.Copy} of everything with {bag.Carrier?.Value ?? "somebody who is not declared, or apart from the others"}: {string.Join(", ", bag.Drives)} ({bag.Gigabytes:#,0.##} GB, {full})."));
        }

        if (plan.WayHome.Count > 1)
        {
            output.Line("  Keep to this from the first copy on, one bag to a person and never two of them in one car or hold: then no lost bag takes all copies of anything.");
        }
        else if (plan.WayHome.Count == 1)
        {
            output.Line("  One bag holds every copy: whatever takes it takes everything. Take another drive.");
        }
    }

    private static string Number(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
