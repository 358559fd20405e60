using KitMesh.Alerts;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Hub;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Tests.Hub.Views;

/// <summary>Alerts that stand, over a restart of the hub.</summary>
public sealed class AlertMemoryTests : IDisposable
{
    private static readonly Alert Hot = new("pack-hot", KitId.Parse("ridge bank"), AlertWeight.Act, Instant.FromUtc(2027, 2, 11, 6, 0), "47 °C \"on\" the pack", "Stop charging.");

    private readonly DirectoryInfo _root = Directory.CreateTempSubdirectory("kitmesh-alert-memory-");

    public void Dispose() => _root.Delete(recursive: true);

    [Fact]
    public void Load_WhatWasSaved_StandsAsItStood()
    {
        Memory().Save(AlertBook.From([Hot]));

        Assert.Equal(Hot with { Weight = Weight(Hot.Rule) }, Assert.Single(Memory().Load().Standing));
    }

    [Fact]
    public void Save_AnEmptyBook_ForgetsWhatStood()
    {
        AlertMemory memory = Memory();
        memory.Save(AlertBook.From([Hot]));
        memory.Save(AlertBook.Empty);

        Assert.Empty(Memory().Load().Standing);
    }

    [Theory]
    [InlineData("")]
    [InlineData("[{\"rule\":\"pack-hot\"")]
    [InlineData("{}")]
    [InlineData("[{\"rule\":\"pack-hot\"}]")]
    [InlineData("[{\"rule\":\"pack-hot\",\"subject\":\"b\",\"since\":\"yesterday\",\"what\":\"\",\"do\":\"\"}]")]
    [InlineData("[{\"rule\":\"no-such-rule\",\"subject\":\"b\",\"since\":\"2027-02-11T06:00:00Z\",\"what\":\"\",\"do\":\"\"}]")]
    [InlineData("[7]")]
    public void Load_TornOrOddFile_IsAnEmptyBook(string text)
    {
        File.WriteAllText(Path.Combine(_root.FullName, "alerts.json"), text);

        Assert.Empty(Memory().Load().Standing);
    }

    [Fact]
    public void Load_NoFile_IsAnEmptyBook() => Assert.Empty(Memory().Load().Standing);

    private static AlertWeight Weight(string rule) => AlertCatalogue.All.Single(one => one.Name == rule).Weight;

    private AlertMemory Memory() => new(new PhysicalDisk(), new HubOptions { DataFolder = _root.FullName });
}
