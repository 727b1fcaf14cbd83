require "circle"
