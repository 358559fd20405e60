using CsCheck;
using KitMesh.Tests.Architecture;
using KitMesh.TripFile;

namespace KitMesh.Tests.TripFile;

/// <summary>Whatever a tired person does to a trip file, it is read or refused in words, with lines that exist.</summary>
public sealed class TripFileMutationTests
{
    private static readonly string[] Lines = File.ReadAllLines(SourceTree.PathTo("deploy", "trip.example.yaml"));

    private const string Letters = ":-[\"# \t9x{&*\0%";

    private static readonly Gen<(int Line, int Kind, int At, char Letter)> Change =
        Gen.Select(Gen.Int[0, Lines.Length - 1], Gen.Int[0, 5], Gen.Int[0, 80], Gen.Int[0, Letters.Length - 1].Select(i => Letters[i]));

    [Fact]
    public void Read_AnyChangesOfTheExample_NeverThrowsAndNamesRealLines()
    {
        Change.Array[1, 4].Sample(
            changes =>
            {
                string text = string.Join('\n', Apply(changes));
                TripFileResult result = TripFileReader.Read("trip.yaml", text);
                int lines = text.Count(letter => letter == '\n') + 2;
                IEnumerable<TripProblem> problems = result is TripRefused refused ? refused.Problems : ((TripRead)result).Questions;
                Assert.All(problems, problem => Assert.InRange(problem.Line, 1, lines));
                Assert.True(result is TripRead || problems.Any());
            },
            iter: 2000);
    }

    private static List<string> Apply((int Line, int Kind, int At, char Letter)[] changes)
    {
        List<string> lines = [.. Lines];
        foreach ((int line, int kind, int at, char letter) in changes)
        {
            int index = line % lines.Count;
            int column = lines[index].Length == 0 ? 0 : at % lines[index].Length;
            switch (kind)
            {
                case 0:
                    lines.RemoveAt(index);
                    break;
                case 1:
                    lines.Insert(index, lines[index]);
                    break;
                case 2:
                    lines[index] = lines[index].Insert(column, letter.ToString());
                    break;
                case 3:
                    lines[index] = lines[index][..column];
                    break;
                case 4:
                    lines[index] = "  " + lines[index];
                    break;
                default:
                    (lines[index], lines[at % lines.Count]) = (lines[at % lines.Count], lines[index]);
                    break;
            }
        }

        return lines.Count == 0 ? ["trip:"] : lines;
    }
}
