namespace KitMesh.Tests.Architecture;

/// <summary>A file past 600 lines is two files.</summary>
public sealed class FileSizeTests
{
    private const int MaxLines = 600;

    [Theory]
    [InlineData("src")]
    [InlineData("tests")]
    public void EveryFile_StaysUnderTheLimit(string folder)
    {
        IEnumerable<string> tooLong = SourceTree
            .CSharpFiles(folder)
            .Select(file => (Name: SourceTree.Relative(file), Lines: File.ReadLines(file).Count()))
            .Where(file => file.Lines > MaxLines)
            .Select(file => $"{file.Name}: {file.Lines} lines");

        Assert.Empty(tooLong);
    }
}
