using KitMesh.Demo;
using KitMesh.Demo.Power;
using KitMesh.Demo.Weather;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile;
using NodaTime;

namespace KitMesh.Tests.Demo;

public sealed class DemoWorldTests : IDisposable
{
    private static readonly KitId BaseBank = KitId.Parse("base bank");

    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-demo-test").FullName;
    private readonly IReadOnlyCollection<KitItem> _kit = ((TripRead)TripFileReader.Read("trip.yaml", DemoTrip.Text())).Items;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Look_SameSeed_GivesTheSameWorldBitForBit()
    {
        (double Charge, double Celsius)[] first = Evenings(7);
        (double Charge, double Celsius)[] second = Evenings(7);
        (double Charge, double Celsius)[] other = Evenings(8);

        Assert.Equal(first, second);
        Assert.NotEqual(first, other);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Look_WholeTrip_StaysPhysical(ulong seed)
    {
        DemoWorld world = World(seed);
        Instant end = world.Scene.At(world.Scene.Trip.LastDay, 24);
        double coldest = 100;
        double warmest = -100;
        for (Instant time = world.Scene.Start; time < end; time += Duration.FromMinutes(30))
        {
            world.Look(BaseBank, time, bank =>
            {
                Assert.InRange(bank.Charge, 0, 1);
                Assert.InRange(bank.CellCelsius, -35, 30);
                Assert.True(bank.Volts is 0 or (> 10 and < 15), $"{bank.Volts} V");
                Assert.All(bank.Panels, panel => Assert.InRange(panel.Watts, 0, panel.Declared.Rated.Value * 1.2));
                coldest = Math.Min(coldest, bank.AirCelsius == 0 ? coldest : bank.AirCelsius);
                warmest = Math.Max(warmest, bank.AirCelsius == 0 ? warmest : bank.AirCelsius);
                return 0;
            });
        }

        // The scenario: nights of about -28 °C, days of about -6 °C.
        Assert.InRange(coldest, -42, -24);
        Assert.InRange(warmest, -9, 6);
    }

    [Fact]
    public void SetHeaterFuse_BlownAtNight_IsFollowedByChargingUnderTheLimit()
    {
        DemoWorld world = World(1);
        LocalDate day = world.Scene.Trip.FirstDay.PlusDays(4);
        world.SetHeaterFuse(BaseBank, world.Scene.At(day, 16), holds: false);
        bool coldCharge = false;
        for (double hour = 16; hour < 72; hour += 0.25)
        {
            coldCharge |= world.Look(BaseBank, world.Scene.At(day, hour), bank => bank.CellCelsius < 0 && bank.Amperes > 0.5);
        }

        Assert.True(coldCharge);
    }

    [Fact]
    public void Weather_OverManySeeds_HasStormsAndClearSpells()
    {
        Instant start = Instant.FromUtc(2027, 2, 8, 0, 0);
        int[] hours = new int[4];
        for (ulong seed = 0; seed < 20; seed++)
        {
            var weather = new WeatherTruth(seed, start, Duration.FromDays(26));
            for (int hour = 0; hour < 26 * 24; hour++)
            {
                hours[(int)weather.RegimeAt(start + Duration.FromHours(hour))]++;
            }
        }

        Assert.All(hours, count => Assert.True(count > 500, $"{count} h"));
    }

    [Fact]
    public void FilmDay_FillsTheCardWithSoundFiles()
    {
        DemoWorld world = World(1);
        world.FilmDay(world.Scene.Trip.FirstDay.PlusDays(3));

        var source = world.Sources.Single(s => s.Declared.Id.Value == "base camera");
        string[] files = Directory.GetFiles(Path.Combine(source.InCamera.Folder, "CLIPS"));
        Assert.NotEmpty(files);
        Assert.Equal(source.InCamera.UsedBytes, files.Sum(file => new FileInfo(file).Length));
        Assert.All(files, file => Assert.Equal("ftyp"u8, File.ReadAllBytes(file).AsSpan(4, 4)));
        Assert.All(files, file =>
        {
            byte[] bytes = File.ReadAllBytes(file);
            Assert.Equal((uint)bytes.Length - ChunkOffset(bytes), SampleSize(bytes));
        });
    }

    /// <summary>ISO/IEC 14496-12: in stco and stsz, flags and version take the first word of the box's content.</summary>
    private static uint ChunkOffset(byte[] file) => Word(file, At(file, "stco"u8) + 12);

    private static uint SampleSize(byte[] file) => Word(file, At(file, "stsz"u8) + 8);

    private static int At(byte[] file, ReadOnlySpan<byte> type) => file.AsSpan().IndexOf(type);

    private static uint Word(byte[] file, int at) => System.Buffers.Binary.BinaryPrimitives.ReadUInt32BigEndian(file.AsSpan(at));

    private DemoWorld World(ulong seed) => new(_kit, seed, Path.Combine(_folder, Path.GetRandomFileName()));

    private (double Charge, double Celsius)[] Evenings(ulong seed)
    {
        DemoWorld world = World(seed);
        return [.. Enumerable.Range(0, 26).Select(day => world.Look(
            BaseBank,
            world.Scene.At(world.Scene.Trip.FirstDay.PlusDays(day), 20),
            bank => (bank.Charge, bank.CellCelsius)))];
    }
}
