using KitMesh.Cli.Asking;
using KitMesh.Cli.Clocks;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;
using NodaTime.Testing;
using ResultDocument = KitMesh.Hub.Json.ResultDocument;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Cli.Asking;

public sealed class OutlookDrawingTests : IDisposable
{
    private readonly StringWriter _output = new();
    private readonly StringWriter _error = new();
    private readonly StopRequest _stop = new();

    public void Dispose() => _stop.Dispose();

    [Fact]
    public void Draw_BankWithPlans_SaysEachUnderItsOwnBankAndOnlyThePayingDay()
    {
        var policy = new PanelPolicy(new StateOfCharge(0.7), 3, Duration.FromHours(1), new(0.1), new(0.09), new(0.8), "Panels out only below 70 %.");
        var heater = new HeaterChoice(new(0.3), new(0.1), new(0.2), "for the sun", "Heater for the sun.");
        var outlook = Outlook("2027-02-15");
        outlook.Document = ResultDocument.Of(new
        {
            Energy = new
            {
                Banks = new[]
                {
                    new { Bank = "other", PanelPolicy = policy with { Words = "Not this bank's." }, Heater = heater, Panels = Array.Empty<object>() },
                    new
                    {
                        Bank = "bank-low",
                        PanelPolicy = policy,
                        Heater = heater,
                        Panels = new object[]
                        {
                            new { Day = new LocalDate(2027, 2, 14), Words = "a dull day" },
                            new { Day = new LocalDate(2027, 2, 15), Words = "300 Wh net after 40 Wh of heat" },
                        },
                    },
                },
            },
        });

        OutlookDrawing.Draw(new DataOut(Surroundings()), outlook);

        string drawn = _output.ToString();
        Assert.Contains("    Panels out only below 70 %.", drawn, StringComparison.Ordinal);
        Assert.Contains("    2027-02-15: 300 Wh net after 40 Wh of heat.", drawn, StringComparison.Ordinal);
        Assert.Contains("    Heater for the sun.", drawn, StringComparison.Ordinal);
        Assert.DoesNotContain("a dull day", drawn, StringComparison.Ordinal);
        Assert.DoesNotContain("Not this bank's.", drawn, StringComparison.Ordinal);
    }

    [Fact]
    public void Draw_DocumentWithoutPlans_LeavesTheLinesOut()
    {
        OutlookDrawing.Draw(new DataOut(Surroundings()), Outlook(""));

        Assert.Contains("bank-low: Measure first.", _output.ToString(), StringComparison.Ordinal);
        string after = _output.ToString().Split("bank-low: Measure first.")[1];
        Assert.Equal("", after.Trim());
    }

    private static V1.GetOutlookResponse Outlook(string panelOutDay)
    {
        var outlook = new V1.GetOutlookResponse { AsOf = new() { Seconds = 1_802_822_400 } };
        outlook.Banks.Add(new V1.BankAnswer
        {
            Bank = "bank-low", Readiness = "READY", ReadinessWords = "Measure first.", PanelOutDay = panelOutDay, ShortByLastDay = new V1.Chance(),
        });
        return outlook;
    }

    private Surroundings Surroundings() => CliRun.Quiet(Instant.FromUtc(2027, 2, 8, 0, 0), _output, _error, _stop);
}
