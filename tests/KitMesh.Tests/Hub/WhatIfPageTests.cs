using System.Net;
using Grpc.Net.Client;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Hub.Views;
using KitMesh.Outlook.Energy;
using KitMesh.Protocol.Kit;
using KitMesh.TestKit.Hub;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>Trying out a change: the answer must move the way that physics moves it, and nothing asked may break the page.</summary>
public sealed class WhatIfPageTests
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public void Flights_Added_TakeTheirBatteriesFromTheLoads()
    {
        BankOutlook asItIs = Answer(new WhatIf(0, false, 0));
        BankOutlook changed = Answer(new WhatIf(2, false, 0));

        double more = changed.Days[2].Loads.P50.Value - asItIs.Days[2].Loads.P50.Value;
        Assert.InRange(more, 0.9 * 2 * 77, 1.1 * 2 * 77);
        Assert.True(changed.Autonomy.P50 < asItIs.Autonomy.P50);
    }

    [Fact]
    public void Heater_LeftOff_TakesNothing()
    {
        Assert.True(Answer(new WhatIf(0, false, 0)).Days.Sum(day => day.Heater.P90.Value) > 10);
        Assert.True(Answer(new WhatIf(0, true, 0)).Days.Sum(day => day.Heater.P90.Value) < 1); // Quantiles are read off bins, so nothing is a little.
    }

    [Fact]
    public void CloudyDays_Tried_BringLessSunOnThoseDays()
    {
        BankOutlook asItIs = Answer(new WhatIf(0, false, 0));
        BankOutlook changed = Answer(new WhatIf(0, false, 3));

        double before = asItIs.Days.Skip(1).Take(2).Sum(day => day.Harvest.P50.Value + day.Wasted.P50.Value);
        double after = changed.Days.Skip(1).Take(2).Sum(day => day.Harvest.P50.Value + day.Wasted.P50.Value);
        Assert.True(after < 0.7 * before, $"{after:0} Wh of {before:0} Wh");
    }

    [Theory]
    [InlineData("", "<output for=\"flights\">0</output>")]
    [InlineData("?flights=2&cloudy=3&heater=no", "<output for=\"flights\">2</output>")]
    [InlineData("?flights=999&cloudy=-1", "<output for=\"flights\">6</output>")]
    [InlineData("?flights=%3Cscript%3E&cloudy=x", "<output for=\"flights\">0</output>")]
    public async Task Page_AskedAnything_AnswersInRange(string query, string holds)
    {
        await using TestHub hub = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var request = new V1.DeclareKitRequest();
        request.Items.AddRange(Kit.Select(KitItemCodec.Write));
        await new V1.MeshService.MeshServiceClient(channel).DeclareKitAsync(request, cancellationToken: Cancel);
        await hub.Application.WhenCaughtUpAsync(Cancel);
        using var http = new HttpClient { BaseAddress = hub.Address };

        string page = await http.GetStringAsync(new Uri("/energy/what-if" + query, UriKind.Relative), Cancel);

        Assert.Contains(holds, page, StringComparison.Ordinal);
        Assert.Contains("Chance of running short:", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Light_Red_IsRememberedAndForgotten()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };

        Assert.DoesNotContain("data-light", await http.GetStringAsync(new Uri("/kit", UriKind.Relative), Cancel), StringComparison.Ordinal);
        await http.GetStringAsync(new Uri("/light?to=red", UriKind.Relative), Cancel);
        Assert.Contains("data-light=\"red\"", await http.GetStringAsync(new Uri("/kit", UriKind.Relative), Cancel), StringComparison.Ordinal);
        await http.GetStringAsync(new Uri("/light?to=system", UriKind.Relative), Cancel);
        Assert.DoesNotContain("data-light", await http.GetStringAsync(new Uri("/kit", UriKind.Relative), Cancel), StringComparison.Ordinal);
    }

    private static KitItem[] Kit
    {
        get
        {
            KitId camp = KitId.Parse("ridge camp");
            KitId team = KitId.Parse("ridge team");
            KitId bank = KitId.Parse("ridge bank");
            KitId box = KitId.Parse("ridge box");
            return
            [
                new Trip(KitId.Parse("ibex"), new LocalDate(2027, 2, 8), new LocalDate(2027, 2, 24), Offset.FromHours(5)),
                new Place(camp, new(41.9), new(77.7), new(4350), new Celsius(-31), new Celsius(-9), 0.66, 0.7, []),
                new Team(team, camp),
                new Box(box, new(0.12), new(9000), new Watts(10), new Celsius(4), new Celsius(8)),
                new Bank(bank, team, box, new(0.6), new(0.2), null, null),
                new Pack(KitId.Parse("ridge pack"), bank, Chemistry.Lfp, 4, new AmpereHours(100), null, null, null, null, null),
                new Panel(KitId.Parse("ridge panel"), bank, new Watts(120), new(65), new(190), -0.0035, 0.75, new Volts(21.6), new(3.1)),
                new Load(KitId.Parse("ridge drone"), team, bank, LoadClass.Work, 2, new WattHours(100), 0.1, new WattHours(77), new Watts(60), Chemistry.Nmc),
            ];
        }
    }

    private static BankOutlook Answer(WhatIf change)
    {
        var question = new EnergyQuestion(Now, [.. Kit], [], [], 1, WhatIfView.Paths);
        return EnergyForecaster.Answer(change.Change(question, new LocalDate(2027, 2, 14), WhatIfView.Paths)).Banks.Single();
    }
}
