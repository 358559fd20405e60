using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.V1;
using NodaTime;

namespace KitMesh.Cli.Demonstration;

/// <summary>Plays the scenario day by day.</summary>
internal sealed class DemoScript(DemoStage stage, Talk talk)
{
    private const double EveningHour = 19.5;
    private const int QuietLooks = 4;
    private const int MaxLooks = 300;

    private static readonly KitId[] FarBanks = [KitId.Parse("ridge bank"), KitId.Parse("hide bank")];
    private static readonly TimeSpan Look = TimeSpan.FromMilliseconds(150);

    private readonly DemoFaults _faults = new(stage.Options.Seed, stage.World.Scene);
    private readonly DemoEvening _evening = new(stage, talk);

    /// <summary>Plays all days up to the last evening, then waits until everything has arrived.</summary>
    /// <param name="progress">Told the share that is done.</param>
    public async Task PlayAsync(Action<double> progress)
    {
        for (int day = 0; day < stage.Options.Days; day++)
        {
            await PlayDayAsync(day);
            progress((day + 1.0) / stage.Options.Days);
        }

        await SettleAsync();
    }

    private async Task PlayDayAsync(int day)
    {
        LocalDate date = stage.World.Scene.Trip.FirstDay.PlusDays(day);
        double speed = stage.Options.Speed;
        talk.Say($"Day {day + 1}, {date:uuuu-MM-dd}: {stage.World.Scene.Weather.RegimeAt(stage.World.Scene.At(date, 11)).ToString().ToLowerInvariant()}");
        await stage.RunToAsync(stage.World.Scene.At(date, 7), speed);
        await _faults.MorningAsync(stage, talk, day);
        await stage.RunToAsync(stage.World.Scene.At(date, 12), speed);
        _faults.Noon(stage, talk, day);
        await stage.RunToAsync(stage.World.Scene.At(date, 16), speed);
        stage.World.FilmDay(date);
        _faults.Evening(stage, talk, day, date);
        await stage.RunToAsync(stage.World.Scene.At(date, EveningHour), speed);
        foreach (KitId bank in FarBanks)
        {
            stage.Type(bank);
        }

        await _evening.CopyAsync(day);
    }

    /// <summary>Lets the agents hand over what still waits: the count of reports at the hub stands still for a while.</summary>
    private async Task SettleAsync()
    {
        stage.Clock.SetSpeed(DemoEvening.CopySpeed);
        using HubClient hub = stage.Ask();
        (ulong before, int quiet) = (0, 0);
        for (int looks = 0; quiet < QuietLooks && looks < MaxLooks; looks++)
        {
            await stage.NapAsync(Look);
            GetStatusResponse status = await hub.StatusAsync();
            quiet = status.Reports == before ? quiet + 1 : 0;
            before = status.Reports;
        }

        stage.Clock.SetSpeed(1);
    }
}
