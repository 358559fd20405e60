using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Demo.Chance;
using KitMesh.Demo.Power;
using KitMesh.Demo.Weather;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Cli.Demonstration;

/// <summary>What goes wrong in the scenario, and on which day. The days come from the seed.</summary>
internal sealed class DemoFaults
{
    private static readonly KitId BaseBank = KitId.Parse("base bank");

    private readonly int _fuseDay;
    private readonly int _badDriveDay;
    private readonly int _hubDay;
    private readonly int _silentDay;
    private readonly int _silentDays;

    public DemoFaults(ulong seed, Scene scene)
    {
        var chance = new SeededChance(seed, "faults");
        _fuseDay = BeforeASunnyDay(scene, chance.Whole(4, 6));
        _badDriveDay = chance.Whole(7, 8);
        _hubDay = chance.Whole(9, 10);
        _silentDay = chance.Whole(11, 12);
        _silentDays = chance.Whole(3, 4);
    }

    /// <summary>What happens in the morning of a day, from 0.</summary>
    public async Task MorningAsync(DemoStage stage, Talk talk, int day)
    {
        if (day == _hubDay)
        {
            talk.Say("  The hub loses its power and starts again; agents keep what it had not acknowledged.");
            using HubClient hub = stage.Ask();
            ulong pairs = await DemoStage.ClockPairsAsync(hub);
            await stage.Hub.KillAsync();
            stage.Hub.Start();
            await stage.WaitForHubAsync();
            await stage.WaitForMeetingAsync(hub, stage.Agents.Count, pairs);
        }

        if (day == _silentDay)
        {
            talk.Say($"  The ridge team's link is gone for {_silentDays} days; its phone goes on writing.");
            stage.RidgeLink.IsUp = false;
        }

        if (day == _silentDay + _silentDays)
        {
            talk.Say("  The ridge team's link is back.");
            using HubClient hub = stage.Ask();
            ulong pairs = await DemoStage.ClockPairsAsync(hub);
            stage.RidgeLink.IsUp = true;
            await stage.WaitForMeetingAsync(hub, 1, pairs);
        }
    }

    /// <summary>What happens at noon.</summary>
    public void Noon(DemoStage stage, Talk talk, int day)
    {
        if (day == _fuseDay + 2)
        {
            talk.Say("  The heater's fuse is changed.");
            stage.World.SetHeaterFuse(BaseBank, stage.Clock.Now, holds: true);
        }
    }

    /// <summary>What happens in the evening, before the cards are copied.</summary>
    public void Evening(DemoStage stage, Talk talk, int day, LocalDate date)
    {
        if (day == _fuseDay)
        {
            talk.Say("  The heater's fuse in the base box blows; nobody sees it.");
            stage.World.SetHeaterFuse(BaseBank, stage.Clock.Now, holds: false);
        }

        // A damaged directory entry: where the day's folder should be made there is something that is no folder.
        string broken = BrokenEntry(stage, date);
        if (day == _badDriveDay)
        {
            talk.Say("  A directory entry on drive green is damaged.");
            File.WriteAllText(broken, "");
        }
        else if (day == _badDriveDay + 1)
        {
            talk.Say("  Drive green is repaired.");
            File.Delete(BrokenEntry(stage, date.PlusDays(-1)));
        }
    }

    /// <summary>The first day from one on whose second next morning has sun, so that cold cells are charged before the fuse is changed.</summary>
    private static int BeforeASunnyDay(Scene scene, int from)
    {
        for (int day = from; day < from + 8; day++)
        {
            if (scene.Weather.RegimeAt(scene.At(scene.Trip.FirstDay.PlusDays(day + 2), 10)) is SkyRegime.Clear or SkyRegime.Broken)
            {
                return day;
            }
        }

        return from;
    }

    private static string BrokenEntry(DemoStage stage, LocalDate date) =>
        Path.Combine(stage.Layout.Drives, "drive-green", date.ToString("uuuu-MM-dd", System.Globalization.CultureInfo.InvariantCulture));
}
