using KitMesh.Cli.Commands.Enrolling;

namespace KitMesh.Tests.Cli;

/// <summary>The picture of an invitation, against the symbol's form in ISO/IEC 18004: finder and timing patterns, quiet zone.</summary>
public sealed class QrPictureTests
{
    private const int Quiet = 4;

    // ISO/IEC 18004:2015 §6.3.3: concentric squares of 7, 5 and 3 modules. From memory of the standard.
    private static readonly string[] Finder = ["#######", "#.....#", "#.###.#", "#.###.#", "#.###.#", "#.....#", "#######"];

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Draw_AnInvitation_HasFindersTimingAndQuietZone(bool darkOnLight)
    {
        bool[][] dark = Modules(QrPicture.Draw("kitmesh:enrol?hub=https%3A%2F%2F192.168.4.1%3A7433&pin=47DEQpj8HBSa-_TImW-5JCeuQeRkm5NMpJWZG3hSuFU&code=000000-000000-000000", darkOnLight), darkOnLight);
        int size = dark[0].Length - (2 * Quiet);

        Assert.Equal(1, size % 4); // 17 + 4 · version modules a side
        Assert.Equal(Finder, Square(dark, Quiet, Quiet));
        Assert.Equal(Finder, Square(dark, Quiet, Quiet + size - 7));
        Assert.Equal(Finder, Square(dark, Quiet + size - 7, Quiet));
        Assert.All(Enumerable.Range(8, size - 16), i => Assert.Equal(i % 2 == 0, dark[Quiet + 6][Quiet + i]));
        Assert.All(Enumerable.Range(8, size - 16), i => Assert.Equal(i % 2 == 0, dark[Quiet + i][Quiet + 6]));
        Assert.All(dark.Take(Quiet), row => Assert.DoesNotContain(true, row));
        Assert.All(dark, row => Assert.DoesNotContain(true, row.Take(Quiet)));
    }

    private static string[] Square(bool[][] dark, int top, int left) =>
        [.. Enumerable.Range(top, 7).Select(y => string.Concat(Enumerable.Range(left, 7).Select(x => dark[y][x] ? '#' : '.')))];

    /// <summary>Half blocks back to modules: what is drawn is dark on a light terminal and light on a dark one.</summary>
    private static bool[][] Modules(string picture, bool darkOnLight) =>
    [
        .. picture.TrimEnd('\n').Split('\n').SelectMany(line => new[]
        {
            line.Select(half => (half is '█' or '▀') == darkOnLight).ToArray(),
            line.Select(half => (half is '█' or '▄') == darkOnLight).ToArray(),
        }),
    ];
}
